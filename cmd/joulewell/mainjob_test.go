package main

import (
	"encoding/json"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/gorilla/websocket"

	"joulewell/daq/setup"
)

// The main job, from end to end with real processes: the virtual bench plays into a
// pseudo-terminal, the daemon reads it as it would a microcontroller, a viewer sees
// energies, a run is recorded, the daemon is killed in the middle of it, and the next
// one finds the run whole.

// frames is as much of the live message as these tests read.
type frames struct {
	Type   string     `json:"type"`
	Seq    uint32     `json:"seq"`
	Time   []float64  `json:"t_s"`
	Total  []*float64 `json:"total_J"`
	Height []*float64 `json:"height_m"`
}

// watch reads the live messages of a daemon until n frames had a total energy.
func watch(t *testing.T, page string, n int) {
	t.Helper()
	ws, _, err := websocket.DefaultDialer.Dial("ws"+strings.TrimPrefix(page, "http")+"live?rate=all", nil)
	if err != nil {
		t.Fatal(err)
	}
	defer ws.Close()
	ws.SetReadDeadline(time.Now().Add(60 * time.Second))
	for n > 0 {
		_, text, err := ws.ReadMessage()
		if err != nil {
			t.Fatalf("read live messages, %d frames short: %v", n, err)
		}
		var m frames
		if err := json.Unmarshal(text, &m); err != nil {
			t.Fatalf("message %s: %v", text, err)
		}
		for i := range m.Total {
			if m.Total[i] == nil {
				continue
			}
			n--
			if h := *m.Height[i]; h < -0.05 || h > 1.5 {
				t.Fatalf("height %g m", h)
			}
		}
	}
}

func post(t *testing.T, url, body string) map[string]any {
	t.Helper()
	r, err := http.Post(url, "application/json", strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	text, _ := io.ReadAll(r.Body)
	if r.StatusCode/100 != 2 {
		t.Fatalf("POST %s: %s: %s", url, r.Status, text)
	}
	var m map[string]any
	if err := json.Unmarshal(text, &m); err != nil {
		t.Fatal(err)
	}
	return m
}

func TestPseudoTerminalToRunFileAcrossAKill(t *testing.T) {
	data := t.TempDir()
	device := start(t, "virtual", "--seed", "3")
	port := device.line("/dev/")
	daemon := start(t, "serve", "--port", "/dev/"+port, "--listen", "127.0.0.1:0", "--data", data)
	page := daemon.line("Show page: ")
	watch(t, page, 200)
	post(t, page+"api/run/start", `{"note":"before the kill"}`)
	begun := time.Now()
	watch(t, page, 300)
	length := time.Since(begun).Seconds()
	daemon.end(syscall.SIGKILL)
	if parts, _ := filepath.Glob(filepath.Join(data, "*.part")); len(parts) != 1 {
		t.Fatalf("after the kill there are %v, want one unfinished run", parts)
	}

	again := start(t, "serve", "--port", "/dev/"+port, "--listen", "127.0.0.1:0", "--data", data)
	page = again.line("Show page: ")
	runs, _ := filepath.Glob(filepath.Join(data, "*.csv"))
	if len(runs) != 1 {
		t.Fatalf("after the restart there are %v, want one whole run", runs)
	}
	description, err := os.ReadFile(runs[0] + "-metadata.json")
	if err != nil || !strings.Contains(string(description), `#virtual": true`) {
		t.Errorf("the repaired run is not marked as simulated: %v", err)
	}
	text, err := os.ReadFile(runs[0])
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSuffix(string(text), "\n"), "\n")
	columns := strings.Count(lines[0], ",")
	for i, l := range lines {
		if strings.Count(l, ",") != columns {
			t.Fatalf("line %d is torn: %s", i+1, l)
		}
	}
	lastTime, err := time.ParseDuration(strings.SplitN(lines[len(lines)-1], ",", 2)[0] + "s")
	if err != nil {
		t.Fatal(err)
	}
	if missing := length - lastTime.Seconds(); missing > 1 {
		t.Errorf("the last %.2f s of the run are missing", missing)
	}

	// The same bench goes on, and Ctrl-C leaves a whole run file.
	watch(t, page, 100)
	post(t, page+"api/run/start", `{"note":"until Ctrl-C"}`)
	watch(t, page, 100)
	if err := again.end(os.Interrupt.(syscall.Signal)); err != nil {
		t.Errorf("Ctrl-C: %v", err)
	}
	runs, _ = filepath.Glob(filepath.Join(data, "*.csv"))
	if len(runs) != 2 {
		t.Fatalf("after Ctrl-C there are %v, want two runs", runs)
	}
	for _, r := range runs {
		c := program(t, "replay", "--check", r)
		if out, err := c.CombinedOutput(); err != nil || !strings.Contains(string(out), "come out the same") {
			t.Errorf("replay --check: %v: %s", err, out)
		}
	}
}

func TestDemoThenReplay(t *testing.T) {
	data := t.TempDir()
	demo := start(t, "demo", "--listen", "127.0.0.1:0", "--data", data)
	page := demo.line("Show page: ")
	watch(t, page, 100)
	post(t, page+"api/run/start", `{"note":"demo"}`)
	watch(t, page, 150)
	post(t, page+"api/run/stop", `{}`)
	if err := demo.end(syscall.SIGTERM); err != nil {
		t.Errorf("SIGTERM: %v", err)
	}
	runs, _ := filepath.Glob(filepath.Join(data, "*.csv"))
	if len(runs) != 1 {
		t.Fatalf("runs = %v", runs)
	}
	replay := start(t, "replay", runs[0], "--listen", "127.0.0.1:0")
	page = replay.line("Show page: ")
	watch(t, page, 100)
	r, err := http.Post(page+"api/run/start", "application/json", strings.NewReader(`{}`))
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	if text, _ := io.ReadAll(r.Body); r.StatusCode != http.StatusConflict || !strings.Contains(string(text), "played back") {
		t.Errorf("start of a run during a replay: %s: %s", r.Status, text)
	}
	if _, err := os.Stat(setup.Blank().Data); err == nil {
		t.Errorf("the replay made a folder %s, though it records nothing", setup.Blank().Data)
	}
}

func TestAddressInUseIsTold(t *testing.T) {
	first := start(t, "demo", "--listen", "127.0.0.1:0", "--data", t.TempDir())
	address := strings.TrimSuffix(strings.TrimPrefix(first.line("Show page: "), "http://"), "/")
	out, err := program(t, "demo", "--listen", address, "--data", t.TempDir()).CombinedOutput()
	if err == nil || !strings.Contains(string(out), "--listen") || strings.Count(string(out), "\n") != 1 {
		t.Errorf("second demo on %s: %v: %s", address, err, out)
	}
}

// A second daemon on the same port is refused, and says by whom, even to root.
func TestSecondDaemonOnAPortIsTold(t *testing.T) {
	device := start(t, "virtual")
	port := "/dev/" + device.line("/dev/")
	first := start(t, "serve", "--port", port, "--listen", "127.0.0.1:0", "--data", t.TempDir())
	watch(t, first.line("Show page: "), 10)
	second := start(t, "serve", "--port", port, "--listen", "127.0.0.1:0", "--data", t.TempDir())
	page := second.line("Show page: ")
	limit := time.Now().Add(20 * time.Second)
	for {
		r, err := http.Get(page + "api/status")
		if err != nil {
			t.Fatal(err)
		}
		text, _ := io.ReadAll(r.Body)
		r.Body.Close()
		var s struct {
			Link   string `json:"link"`
			Detail string `json:"link_detail"`
		}
		if err := json.Unmarshal(text, &s); err != nil {
			t.Fatal(err)
		}
		if s.Link == "waiting" && strings.Contains(s.Detail, port) {
			return
		}
		if time.Now().After(limit) {
			t.Fatalf("second daemon says %s", text)
		}
	}
}

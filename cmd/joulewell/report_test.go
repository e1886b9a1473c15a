package main

import (
	"context"
	"html"
	"io"
	"net"
	"net/http"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"

	"joulewell/daq"
	"joulewell/daq/setup"
	"joulewell/daq/source"
	"joulewell/daq/upkeep"
	"joulewell/daq/virtual"
	"joulewell/daq/workup/proof"
	"joulewell/webui"
)

// The page that the daemon makes of a run is the one that its printed command makes in the
// folder of the run, with the calibration book at hand.
func TestReportByItsCommand(t *testing.T) {
	dir := t.TempDir()
	proof.Record(t, dir, "first drop", "../../testdata/recordings/tamar-drop", nil)
	book := `[[calibration]]
kind = "spring"
date = 2026-11-20T17:00:00Z
by = "evening course"
as_left = { spring_rate_N_m = 25.14 }
points = [{ load = "A", length = "180 mm" }]
`
	if err := os.WriteFile(dir+"/book.toml", []byte(book), 0o644); err != nil {
		t.Fatal(err)
	}
	file := setup.Blank()
	file.Bench, file.Calibration = virtual.Setup(virtual.Default()), dir+"/book.toml"
	desk, err := upkeep.Open(file, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	device, err := virtual.New(virtual.Default())
	if err != nil {
		t.Fatal(err)
	}
	clock := source.NewClock()
	bench, err := daq.New(daq.Options{
		Setup: &file.Bench, Source: source.NewVirtual(device, source.PlayOptions{Name: "virtual bench", Clock: clock}), Clock: clock, Dir: dir,
	})
	if err != nil {
		t.Fatal(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	server, err := webui.New(webui.Options{Bench: bench, Upkeep: desk, Version: version(), Listen: l.Addr().String()})
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	served := make(chan error, 1)
	go func() { served <- server.Serve(ctx, l) }()
	answer, err := http.Get("http://" + l.Addr().String() + "/api/runs/first%20drop/report")
	if err != nil {
		t.Fatal(err)
	}
	page, err := io.ReadAll(answer.Body)
	answer.Body.Close()
	stop()
	if err := <-served; err != nil {
		t.Error(err)
	}
	if err != nil || answer.StatusCode != http.StatusOK {
		t.Fatalf("%d %.300s %v", answer.StatusCode, page, err)
	}
	if !strings.Contains(string(page), "by evening course") {
		t.Error("the book was not looked into")
	}
	found := regexp.MustCompile(`<pre><code>(.*)</code></pre>`).FindSubmatch(page)
	if found == nil {
		t.Fatal("the page tells no command")
	}
	command := html.UnescapeString(string(found[1]))
	if want := `joulewell report --book book.toml --output 'first drop.html' 'first drop.csv'`; command != want {
		t.Fatalf("%s, want %s", command, want)
	}
	t.Chdir(dir)
	var out, complaint strings.Builder
	if status := run(t.Context(), []string{"report", "--book", "book.toml", "--output", "first drop.html", "first drop.csv"}, &out, &complaint); status != 0 {
		t.Fatalf("%d: %s", status, complaint.String())
	}
	again, err := os.ReadFile("first drop.html")
	if err != nil || string(again) != string(page) {
		t.Errorf("the command makes another page: %v", err)
	}
}

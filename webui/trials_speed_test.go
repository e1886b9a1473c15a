package webui_test

import (
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"joulewell/daq/virtual"
)

// BenchmarkTrialsAnswer asks for a thousand trials over the network: all of them, what has
// changed after one was labelled anew, and, as the floor, how the daemon is.
func BenchmarkTrialsAnswer(b *testing.B) {
	dir := b.TempDir()
	keepTrials(b, dir, 1000)
	d := startDemo(b, "127.0.0.1:0", dir, virtual.Default())
	defer d.stop()
	get := func(path string) []byte {
		answer, err := http.Get("http://" + d.address + path)
		if err != nil {
			b.Fatal(err)
		}
		defer answer.Body.Close()
		body, err := io.ReadAll(answer.Body)
		if err != nil || answer.StatusCode != http.StatusOK {
			b.Fatal(answer.Status, err)
		}
		return body
	}
	var first struct {
		Mark   string
		Trials []struct{ Run string }
	}
	if err := json.Unmarshal(get("/api/trials"), &first); err != nil {
		b.Fatal(err)
	}
	answer, err := http.Post("http://"+d.address+"/api/trials/group", "application/json", strings.NewReader(fmt.Sprintf(`{"run":%q,"group":"lamp"}`, first.Trials[500].Run)))
	if err != nil || answer.StatusCode != http.StatusOK {
		b.Fatal(answer, err)
	}
	answer.Body.Close()
	for _, c := range []struct{ name, path string }{
		{"all", "/api/trials"}, {"changed", "/api/trials?since=" + url.QueryEscape(first.Mark)}, {"floor", "/healthz"},
	} {
		b.Run(c.name, func(b *testing.B) {
			length := 0
			for b.Loop() {
				length = len(get(c.path))
			}
			b.ReportMetric(float64(length), "bytes")
		})
	}
}

package webui

import (
	"context"
	"errors"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"joulewell/daq/runfile"
	"joulewell/daq/workup"
	"joulewell/daq/workup/proof"
)

func TestReportOfARun(t *testing.T) {
	s := newSite(t)
	proof.Record(t, s.bench.folder, "tamar", "../testdata/recordings/tamar-drop", nil)
	answer, page := s.want(t, http.StatusOK, "GET", "/api/runs/tamar/report", "")
	for header, want := range map[string]string{
		"Content-Type":            "text/html; charset=utf-8",
		"Content-Disposition":     "inline; filename=tamar.html",
		"Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
		"X-Content-Type-Options":  "nosniff",
	} {
		if got := answer.Header.Get(header); got != want {
			t.Errorf("%s: %q, want %q", header, got, want)
		}
	}
	if text := string(page); !strings.Contains(text, "<h2>tamar</h2>") || !strings.Contains(text, "joulewell 0.1.0") {
		t.Errorf("%.300s", text)
	}
	if _, same := s.want(t, http.StatusOK, "GET", "/api/runs/tamar.csv/report", ""); string(same) != string(page) {
		t.Error("asked for with .csv it is another page")
	}
	s.bench.root = nil
	s.want(t, http.StatusNotFound, "GET", "/api/runs/tamar/report", "")
}

// Whoever comes while a report is being made is told so, and nothing else waits for it.
func TestReportsAreMadeOneAtATime(t *testing.T) {
	s := newSite(t)
	begun, goOn := make(chan struct{}), make(chan struct{})
	var asked workup.Options
	s.press.open = func(_ context.Context, _ *os.Root, _ string, o workup.Options) (*workup.Run, error) {
		asked = o
		close(begun)
		<-goOn
		return nil, errors.New("nothing to say")
	}
	first := make(chan int, 1)
	go func() {
		answer, err := s.client.Get("http://" + s.host + "/api/runs/tamar/report")
		if err != nil {
			first <- 0
			return
		}
		answer.Body.Close()
		first <- answer.StatusCode
	}()
	<-begun
	if answer, _ := s.want(t, http.StatusServiceUnavailable, "GET", "/api/runs/tamar/report", ""); answer.Header.Get("Retry-After") == "" {
		t.Error("it is not said when to ask again")
	}
	s.want(t, http.StatusOK, "GET", "/api/status", "") // all else goes on
	close(goOn)
	if status := <-first; status != http.StatusUnprocessableEntity {
		t.Errorf("the first is answered by %d", status)
	}
	if asked.MostRows != mostReportRows {
		t.Errorf("up to %d rows were to be worked out", asked.MostRows)
	}
	s.press.open = workup.Open
	proof.Record(t, s.bench.folder, "tamar", "../testdata/recordings/tamar-drop", nil)
	s.press.turn <- struct{}{} // waits until the first has given its turn back
	<-s.press.turn
	s.want(t, http.StatusOK, "GET", "/api/runs/tamar/report", "")
}

// A report that takes too long is given up, and its work keeps the turn until it ends.
func TestReportThatTakesTooLong(t *testing.T) {
	s := newSite(t)
	s.press.within = time.Nanosecond
	goOn := make(chan struct{})
	s.press.open = func(context.Context, *os.Root, string, workup.Options) (*workup.Run, error) {
		<-goOn
		return nil, errors.New("too late")
	}
	_, text := s.want(t, http.StatusServiceUnavailable, "GET", "/api/runs/tamar/report", "")
	if !strings.Contains(string(text), "joulewell report") {
		t.Errorf("%s", text)
	}
	if _, text := s.want(t, http.StatusServiceUnavailable, "GET", "/api/runs/tamar/report", ""); !strings.Contains(string(text), "nother report") {
		t.Errorf("while the work goes on: %s", text)
	}
	close(goOn)
	s.press.turn <- struct{}{}
}

func TestReportsRefused(t *testing.T) {
	s := newSite(t)
	proof.Record(t, s.bench.folder, "long", "../testdata/recordings/tamar-drop", func(m *runfile.Meta) { m.Rows = 1 })
	path := filepath.Join(s.bench.folder, "long.csv-metadata.json")
	meta, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	meta = regexp.MustCompile(`(ns#rows": )\d+`).ReplaceAll(meta, []byte("${1}3600001"))
	if err := os.WriteFile(path, meta, 0o644); err != nil {
		t.Fatal(err)
	}
	_, text := s.want(t, http.StatusUnprocessableEntity, "GET", "/api/runs/long/report", "")
	if !strings.Contains(string(text), "3600001 rows") || !strings.Contains(string(text), "joulewell report") {
		t.Errorf("an hour and a row: %s", text)
	}
	proof.Record(t, s.bench.folder, "bare", "../testdata/recordings/tamar-drop", nil)
	os.Remove(filepath.Join(s.bench.folder, "bare.csv-metadata.json"))
	if _, text := s.want(t, http.StatusUnprocessableEntity, "GET", "/api/runs/bare/report", ""); !strings.Contains(string(text), "metadata file is missing") {
		t.Errorf("%s", text)
	}
	for _, name := range []string{"nowhere", "..%2f..%2fgo.mod", ".csv"} {
		s.want(t, http.StatusNotFound, "GET", "/api/runs/"+name+"/report", "")
	}
}

package webui

import (
	"crypto/tls"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"strings"
	"sync"
	"testing"

	"github.com/gorilla/websocket"
)

// book is a log that a test may read while others write it.
type book struct {
	mu   sync.Mutex
	text strings.Builder
}

func (b *book) Write(p []byte) (int, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.text.Write(p)
}

func (b *book) String() string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.text.String()
}

// Neither the log, down to its last detail, nor the metrics tell who visits, what they
// write, by which key or with which browser.
func TestLogsAndMetricsTellNothingOfPeople(t *testing.T) {
	certificate, trusting := selfSigned(t)
	var log book
	s := newSite(t, func(o *Options, l *net.Listener) {
		beyondLoopback(o, l)
		o.Secure = true
		o.Log = slog.New(slog.NewTextHandler(&log, &slog.HandlerOptions{Level: slog.LevelDebug}))
		*l = tls.NewListener(*l, &tls.Config{Certificates: []tls.Certificate{certificate}, NextProtos: []string{"http/1.1"}})
	})
	client := &http.Client{Transport: trusting, CheckRedirect: s.client.CheckRedirect}
	ask := func(method, path, body string) string {
		t.Helper()
		r, err := http.NewRequest(method, "https://"+s.host+path, strings.NewReader(body))
		if err != nil {
			t.Fatal(err)
		}
		r.Header.Set("Content-Type", "application/json")
		r.Header.Set("Authorization", "Bearer a key of the tests")
		r.Header.Set("User-Agent", "browser-of-bench-two")
		answer, err := client.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		defer answer.Body.Close()
		text, err := io.ReadAll(answer.Body)
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	ask("POST", "/api/run/start", `{"note":"third row, left"}`)
	ask("POST", "/api/key", `{"key":"a wrong key of somebody"}`)
	ask("POST", "/api/run/stop", "no JSON at all: third row")
	ask("GET", "/api/runs/third-row", "")
	dialer := websocket.Dialer{TLSClientConfig: trusting.TLSClientConfig}
	viewer, _, err := dialer.Dial("wss://"+s.host+"/live", http.Header{"User-Agent": {"browser-of-bench-two"}})
	if err != nil {
		t.Fatal(err)
	}
	defer viewer.Close()
	viewer.WriteMessage(websocket.TextMessage, []byte(`{"type":"third row"}`))
	if _, _, err := viewer.ReadMessage(); err != nil {
		t.Fatal(err)
	}
	if answer, _ := s.do(t, "GET", "/healthz", ""); answer.StatusCode != http.StatusBadRequest { // not encrypted: it is complained of
		t.Errorf("unencrypted: %s", answer.Status)
	}
	metrics := ask("GET", "/metrics", "")
	if !strings.Contains(log.String(), "the web server complains") || !strings.Contains(metrics, "joulewell_viewers 1") {
		t.Fatalf("nothing to look at: log %q, metrics\n%s", log.String(), metrics)
	}
	for _, secret := range []string{"127.0.0.1", "third", "key of", "bench-two"} {
		for what, text := range map[string]string{"log": log.String(), "metrics": metrics} {
			if strings.Contains(text, secret) {
				t.Errorf("the %s tells %q:\n%s", what, secret, text)
			}
		}
	}
	trusting.CloseIdleConnections()
}

func TestAddressesAreTakenOut(t *testing.T) {
	for _, from := range []string{"192.0.2.7:51234", "[2001:db8::7]:443", "[fe80::1%eth0]:80", "192.0.2.7", "[::1]"} {
		var log book
		fmt.Fprintf(impersonal{slog.New(slog.NewTextHandler(&log, nil))}, "http: panic serving %s: index out of range [3] with length 2\n", from)
		if text := log.String(); strings.Contains(text, from) || !strings.Contains(text, "panic serving ADDRESS: index out of range") {
			t.Errorf("%s: %s", from, text)
		}
	}
}

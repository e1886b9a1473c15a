package main

import (
	"crypto/tls"
	"crypto/x509"
	"encoding/pem"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// A key file is made once, for its owner alone, and then stays what it is: so a page that
// has the key keeps it over a restart of the daemon.
func TestBenchKeyOutlivesARestart(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "bench.key")
	first, err := benchKey(path)
	if err != nil {
		t.Fatal(err)
	}
	if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("mode %v, %v, want 0600", info.Mode(), err)
	}
	second, err := benchKey(path)
	if err != nil || second != first || len(first) < 26 {
		t.Errorf("keys %q and %q, %v, want the same of 26 characters", first, second, err)
	}
	other, err := benchKey(filepath.Join(dir, "other.key"))
	if err != nil || other == first {
		t.Errorf("two files hold the same key: %v", err)
	}
	if left, _ := os.ReadDir(dir); len(left) != 2 {
		t.Errorf("left behind: %v", left)
	}
	if err := makeKey(path); err != nil {
		t.Fatal(err)
	}
	if third, _ := benchKey(path); third != first {
		t.Error("a key that was there has been written over")
	}
}

func TestNamesOfTheDoor(t *testing.T) {
	at := &net.TCPAddr{IP: net.IPv4(192, 0, 2, 7), Port: 8420}
	for _, c := range []struct {
		hosts  []string
		secure bool
		want   string
	}{
		{nil, false, "http://192.0.2.7:8420/key/K-%2F"},
		{[]string{"tamar.lab.example"}, false, "http://tamar.lab.example:8420/key/K-%2F"},
		{[]string{"proxy.example:8443"}, true, "https://proxy.example:8443/key/K-%2F"},
		{[]string{"[2001:db8::7]"}, true, "https://[2001:db8::7]:8420/key/K-%2F"},
	} {
		d := door{hosts: c.hosts}
		if c.secure {
			d.tls = &tls.Config{}
		}
		if got := d.keyPage(at, "K-/"); got != c.want {
			t.Errorf("address of the key %s, want %s", got, c.want)
		}
	}
	var d door
	if got := d.pages(&net.TCPAddr{IP: net.IPv4zero, Port: 8420}); !strings.Contains(got, "Show page: http://127.0.0.1:8420/\nFrom other machines: http://") || strings.Contains(got, "//0.0.0.0") {
		t.Errorf("pages of all addresses: %s", got)
	}
}

// The daemon serves its page over an encrypted line, by its owner's certificate.
func TestServeEncrypted(t *testing.T) {
	borrowed := httptest.NewTLSServer(http.NotFoundHandler()) // for its certificate, of 127.0.0.1
	defer borrowed.Close()
	pair, dir := borrowed.TLS.Certificates[0], t.TempDir()
	private, err := x509.MarshalPKCS8PrivateKey(pair.PrivateKey)
	if err != nil {
		t.Fatal(err)
	}
	for name, block := range map[string]*pem.Block{
		"cert.pem": {Type: "CERTIFICATE", Bytes: pair.Certificate[0]}, "key.pem": {Type: "PRIVATE KEY", Bytes: private},
	} {
		if err := os.WriteFile(filepath.Join(dir, name), pem.EncodeToMemory(block), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	daemon := start(t, "serve", "--port", "/dev/no-such-port", "--listen", "127.0.0.1:0", "--data", dir,
		"--tls-cert", filepath.Join(dir, "cert.pem"), "--tls-key", filepath.Join(dir, "key.pem"), "--host", "tamar.lab.example")
	page := daemon.line("Show page: ")
	if !strings.HasPrefix(page, "https://127.0.0.1:") {
		t.Fatalf("page at %s", page)
	}
	client := borrowed.Client()
	client.Timeout = 20 * time.Second
	_, port, _ := strings.Cut(strings.TrimSuffix(strings.TrimPrefix(page, "https://"), "/"), ":")
	for host, want := range map[string]int{"": 200, "tamar.lab.example:" + port: 200, "severn.lab.example:" + port: 421} {
		r, err := http.NewRequest("GET", page+"api/status", nil)
		if err != nil {
			t.Fatal(err)
		}
		r.Host = host
		answer, err := client.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		answer.Body.Close()
		if answer.StatusCode != want {
			t.Errorf("host %q: %s, want %d", host, answer.Status, want)
		}
	}
	client.CloseIdleConnections()
}

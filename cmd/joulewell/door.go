package main

import (
	"crypto/rand"
	"crypto/tls"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net"
	"net/url"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"
)

// door is what a web server that others can reach goes by. The zero value is a random
// key and an unencrypted line.
type door struct {
	key   string      // empty = a random one
	hosts []string    // further names that browsers may ask for us by
	tls   *tls.Config // nil = unencrypted
}

type doorFlags struct {
	keyFile, certificate, privateKey string
	hosts                            []string
}

func (f *doorFlags) add(c *cobra.Command) {
	c.Flags().StringVar(&f.keyFile, "key-file", "", "file of the bench key, made with a random one if it is not there; without it each start has another key")
	c.Flags().StringVar(&f.certificate, "tls-cert", "", "file of a certificate (PEM): the web server then speaks HTTPS")
	c.Flags().StringVar(&f.privateKey, "tls-key", "", "file of the certificate's private key (PEM)")
	c.Flags().StringArrayVar(&f.hosts, "host", nil, "another name that browsers may ask for this machine by; may be given several times")
}

// open reads the files that the flags name.
func (f *doorFlags) open() (door, error) {
	d := door{hosts: f.hosts}
	if (f.certificate == "") != (f.privateKey == "") {
		return d, usageError{errors.New("--tls-cert and --tls-key belong together: give both")}
	}
	if f.certificate != "" {
		pair, err := tls.LoadX509KeyPair(f.certificate, f.privateKey)
		if err != nil {
			return d, fmt.Errorf("read certificate %s and key %s: %w", f.certificate, f.privateKey, err)
		}
		// A websocket needs HTTP/1.1.
		d.tls = &tls.Config{Certificates: []tls.Certificate{pair}, MinVersion: tls.VersionTLS12, NextProtos: []string{"http/1.1"}}
	}
	var err error
	if f.keyFile != "" {
		d.key, err = benchKey(f.keyFile)
	}
	return d, err
}

// listen takes an address, and says what to do when another program has it.
func (d *door) listen(address string) (net.Listener, error) {
	l, err := net.Listen("tcp", address)
	if err != nil {
		return nil, fmt.Errorf("listen on %s: %w: choose another address with --listen, 127.0.0.1:0 takes any free port", address, cause(err))
	}
	if d.tls != nil {
		l = tls.NewListener(l, d.tls)
	}
	return l, nil
}

func (d *door) scheme() string {
	if d.tls != nil {
		return "https"
	}
	return "http"
}

// pages says where the page is, in addresses that a browser can be given.
func (d *door) pages(at net.Addr) string {
	tcp, ok := at.(*net.TCPAddr)
	if !ok || !tcp.IP.IsUnspecified() {
		return fmt.Sprintf("Show page: %s://%s/\n", d.scheme(), at)
	}
	return fmt.Sprintf("Show page: %s://127.0.0.1:%d/\nFrom other machines: %s://%s/\n", d.scheme(), tcp.Port, d.scheme(), d.name(at))
}

// keyPage is the address that gives a telephone the bench key.
func (d *door) keyPage(at net.Addr, key string) string {
	return fmt.Sprintf("%s://%s/key/%s", d.scheme(), d.name(at), url.PathEscape(key))
}

// name is what other machines call the web server: by a name that was given, else by the
// address listened on, else by the first address that this machine has in a network.
func (d *door) name(at net.Addr) string {
	_, port, _ := net.SplitHostPort(at.String())
	if len(d.hosts) > 0 {
		if _, _, err := net.SplitHostPort(d.hosts[0]); err == nil {
			return d.hosts[0]
		}
		return net.JoinHostPort(strings.Trim(d.hosts[0], "[]"), port)
	}
	if tcp, ok := at.(*net.TCPAddr); !ok || !tcp.IP.IsUnspecified() {
		return at.String()
	}
	all, _ := net.InterfaceAddrs()
	for _, one := range all {
		if n, ok := one.(*net.IPNet); ok && n.IP.To4() != nil && n.IP.IsGlobalUnicast() {
			return net.JoinHostPort(n.IP.String(), port)
		}
	}
	return "ADDRESS:" + port // for people to fill in
}

// longestKey bounds what is read of a key file [byte].
const longestKey = 256

// benchKey returns the key in the file at path. A file that is not there is made, for
// its owner's eyes only, with 128 random bits. It refuses a file that others can read:
// what stood there may be known.
func benchKey(path string) (string, error) {
	file, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		if err := makeKey(path); err != nil {
			return "", fmt.Errorf("make the key file: %w", err)
		}
		file, err = os.Open(path)
	}
	if err != nil {
		return "", fmt.Errorf("read the key file: %w", err)
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		return "", fmt.Errorf("read the key file: %w", err)
	}
	if mode := info.Mode(); !mode.IsRegular() || mode.Perm()&0o077 != 0 {
		return "", fmt.Errorf("read key file %s: its mode is %v: must be a file that its owner alone may read (chmod 600); others may know this key, so remove it and let a new one be made", path, mode)
	}
	text, err := io.ReadAll(io.LimitReader(file, longestKey+1))
	if err != nil {
		return "", fmt.Errorf("read the key file: %w", err)
	}
	key := strings.TrimSpace(string(text))
	if len(text) > longestKey || strings.ContainsFunc(key, func(r rune) bool {
		return r <= ' ' || r > '~' || strings.ContainsRune(`",;\`, r) // a cookie could not hold it
	}) {
		return "", fmt.Errorf("read key file %s: it holds more than a key: one line of up to %d letters, digits and signs, without blanks, quotes, commas, semicolons and backslashes", path, longestKey)
	}
	if key == "" {
		return "", fmt.Errorf("read key file %s: it is empty: remove it, and a key is made", path)
	}
	return key, nil
}

// makeKey puts a key file at path, whole or not at all. One that appeared meanwhile
// stays.
func makeKey(path string) error {
	file, err := os.CreateTemp(filepath.Dir(path), ".joulewell-key-") // mode 0600
	if err != nil {
		return err
	}
	defer os.Remove(file.Name())
	_, err = fmt.Fprintln(file, rand.Text())
	if err := errors.Join(err, file.Sync(), file.Close()); err != nil {
		return err
	}
	if err := os.Link(file.Name(), path); !errors.Is(err, fs.ErrExist) {
		return err
	}
	return nil
}

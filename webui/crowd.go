package webui

import (
	"net"
	"net/http"
	"net/netip"
	"sync"
)

// Connections that are no websockets: those are counted by the hub. Together with its
// viewers they leave some of the 1024 descriptors that a process usually has.
const (
	maxConnections        = 512
	maxConnectionsAddress = 64 // from one address beyond this machine; a browser opens six
)

// crowd keeps the number of connections within bounds: one that is too many is closed
// before anything is read from it.
type crowd struct {
	mu   sync.Mutex
	in   map[net.Conn]netip.Prefix
	from map[netip.Prefix]int
}

func newCrowd() *crowd {
	return &crowd{in: map[net.Conn]netip.Prefix{}, from: map[netip.Prefix]int{}}
}

// note is an [http.Server.ConnState].
func (c *crowd) note(conn net.Conn, state http.ConnState) {
	switch state {
	case http.StateNew:
		if !c.enter(conn) {
			conn.Close()
		}
	case http.StateHijacked, http.StateClosed:
		c.leave(conn)
	}
}

func (c *crowd) enter(conn net.Conn) bool {
	from := neighbourhood(conn.RemoteAddr().String())
	c.mu.Lock()
	defer c.mu.Unlock()
	beyond := !from.Addr().IsLoopback()
	if len(c.in) >= maxConnections || beyond && c.from[from] >= maxConnectionsAddress {
		return false
	}
	c.in[conn] = from
	c.from[from]++
	return true
}

func (c *crowd) leave(conn net.Conn) {
	c.mu.Lock()
	defer c.mu.Unlock()
	from, in := c.in[conn]
	if !in {
		return // it was one too many
	}
	delete(c.in, conn)
	if c.from[from]--; c.from[from] == 0 {
		delete(c.from, from)
	}
}

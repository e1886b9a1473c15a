package live

import (
	"fmt"
	"net"
	"net/http"
	"strings"
	"time"

	"github.com/gorilla/websocket"
)

// Serve answers a request for /live: it checks the query, makes room, upgrades the
// connection and stays until the viewer has gone.
func (h *Hub) Serve(w http.ResponseWriter, r *http.Request) {
	q, err := ParseQuery(r.URL.Query())
	if err != nil {
		h.options.Refuse(w, http.StatusBadRequest, err.Error())
		return
	}
	host := remoteHost(r)
	if status, why := h.admit(host); status != 0 {
		w.Header().Set("Retry-After", "5")
		h.options.Refuse(w, status, why)
		return
	}
	defer h.release(host)
	upgrader := websocket.Upgrader{
		HandshakeTimeout: closeWithin,
		WriteBufferSize:  4096,
		WriteBufferPool:  &h.buffers,
		CheckOrigin:      h.options.Allowed,
		Error: func(w http.ResponseWriter, _ *http.Request, status int, reason error) {
			why := strings.TrimPrefix(reason.Error(), "websocket: ")
			if status == http.StatusForbidden {
				why = "pages of other origins may not connect here"
			}
			h.options.Refuse(w, status, why)
		},
	}
	conn, err := upgrader.Upgrade(w, r, nil)
	if err != nil {
		return // Refuse has answered
	}
	tune(conn.NetConn())
	v := newViewer(h, conn, q)
	if err := h.join(v); err != nil {
		v.end(websocket.CloseTryAgainLater, err.Error())
		conn.Close()
		return
	}
	v.serve()
	h.leave(v)
}

// admit makes room for one viewer, or returns an HTTP status and a sentence.
func (h *Hub) admit(host string) (status int, why string) {
	h.mu.Lock()
	defer h.mu.Unlock()
	switch {
	case h.closed:
		return http.StatusServiceUnavailable, "the daemon is stopping"
	case h.admitted >= maxViewers:
		return http.StatusServiceUnavailable, fmt.Sprintf("%d viewers are connected, more cannot be served", h.admitted)
	case h.perHost[host] >= maxPerAddress:
		return http.StatusTooManyRequests, fmt.Sprintf("%d viewers are connected from your address, more are not accepted", maxPerAddress)
	}
	h.admitted++
	h.running.Add(1)
	if host != "" {
		h.perHost[host]++
	}
	return 0, ""
}

func (h *Hub) release(host string) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.admitted--
	if host != "" {
		h.perHost[host]--
		if h.perHost[host] == 0 {
			delete(h.perHost, host)
		}
	}
	h.running.Done()
}

// remoteHost returns the address that a request came from, or "" for this machine,
// which only the limit of viewers in all applies to.
func remoteHost(r *http.Request) string {
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	if ip := net.ParseIP(host); err != nil || ip != nil && ip.IsLoopback() {
		return ""
	}
	return host
}

// join puts v into its group and hands it hello and status.
func (h *Hub) join(v *viewer) error {
	st, trials := h.options.Status(), h.trials()
	greeting, err := h.hello(v.query.Subscription, st, trials.Sealed)
	if err != nil {
		return fmt.Errorf("encode the greeting: %w", err)
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.closed {
		return fmt.Errorf("the daemon is stopping")
	}
	g := h.byKey[v.query.Subscription]
	if g == nil {
		if len(h.byKey) >= maxGroups {
			return fmt.Errorf("%d different subscriptions are being served, ask for one of them", maxGroups)
		}
		g = newGroup(v.query.Subscription, &h.tape, func(n uint64) { h.lost.Add(n) })
		g.encoder.trials = h.trials
		h.byKey[v.query.Subscription] = g
		h.listGroups()
		h.running.Go(g.run)
	}
	v.hello, v.setup, v.sealed = greeting, st.Setup, trials.Sealed
	h.viewers[v] = struct{}{}
	status, err := encodeStatus(StatusOf(st, len(h.viewers), trials))
	if err != nil {
		return fmt.Errorf("encode the status: %w", err)
	}
	v.outbox.tell(status)
	g.join(v.outbox)
	return nil
}

func (h *Hub) leave(v *viewer) {
	h.mu.Lock()
	defer h.mu.Unlock()
	delete(h.viewers, v)
	g := h.byKey[v.query.Subscription]
	if g != nil && g.leave(v.outbox) {
		delete(h.byKey, v.query.Subscription)
		h.listGroups()
		close(g.quit)
	}
}

// listGroups shows the bench's goroutine the present groups.
func (h *Hub) listGroups() {
	groups := make([]*group, 0, len(h.byKey))
	for _, g := range h.byKey {
		groups = append(groups, g)
	}
	h.groups.Store(&groups)
}

// Close sends every viewer away with close code 1001 (going away), waits at most
// grace for them to leave and then cuts what is left. No goroutine of the hub is
// left when it returns.
func (h *Hub) Close(grace time.Duration) {
	h.mu.Lock()
	h.closed = true
	var left []*viewer
	for v := range h.viewers {
		left = append(left, v)
		v.goAway(websocket.CloseGoingAway, "the daemon is stopping")
	}
	h.mu.Unlock()
	gone := make(chan struct{})
	go func() { h.running.Wait(); close(gone) }()
	timer := time.NewTimer(grace)
	defer timer.Stop()
	select {
	case <-gone:
	case <-timer.C:
		for _, v := range left {
			v.conn.Close()
		}
		<-gone
	}
}

package webui

import (
	"net/http"
	"sync"
	"time"

	"joulewell/daq"
)

// deadAfter is how long a bench may publish no status; it does so four times a second.
const deadAfter = 2 * time.Second

// pulse tells whether the bench's goroutine is alive, by its status moving on.
type pulse struct {
	mu    sync.Mutex
	last  time.Duration // Status.Now when seen last
	moved time.Time     // when last changed
}

func (p *pulse) see(statusNow time.Duration, now time.Time) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.moved.IsZero() || statusNow != p.last {
		p.last, p.moved = statusNow, now
	}
}

func (p *pulse) alive(now time.Time) bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	return now.Sub(p.moved) < deadAfter
}

// healthz answers whether the daemon works at all: a supervisor should restart it
// otherwise.
func (s *Server) healthz(w http.ResponseWriter, _ *http.Request) {
	if !s.pulse.alive(time.Now()) {
		refuse(w, http.StatusServiceUnavailable, "the bench has not moved on for two seconds: restart the daemon")
		return
	}
	writeJSON(w, http.StatusOK, map[string]any{"alive": true})
}

// readyz answers whether readings can be expected.
func (s *Server) readyz(w http.ResponseWriter, _ *http.Request) {
	st := s.options.Bench.Status()
	if st.Link != daq.Live && st.Link != daq.Replaying {
		refuse(w, http.StatusServiceUnavailable, "the device is "+string(st.Link)+": "+st.LinkDetail)
		return
	}
	writeJSON(w, http.StatusOK, map[string]any{"ready": true, "link": st.Link, "virtual": st.Virtual})
}

package main

import (
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/gorilla/websocket"
)

// viewer keeps what a page would show.
type viewer struct {
	mu   sync.Mutex
	last state
	news chan struct{} // closed and made anew at each status
}

// sit lets a viewer watch until the daemon or the test ends.
func sit(t *testing.T, page string) *viewer {
	t.Helper()
	ws, _, err := websocket.DefaultDialer.Dial("ws"+strings.TrimPrefix(page, "http")+"live?rate=1&channels=total_J", nil)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { ws.Close() })
	v := &viewer{news: make(chan struct{})}
	go func() {
		for {
			var m struct {
				Type string `json:"type"`
				state
			}
			if ws.ReadJSON(&m) != nil {
				return
			}
			if m.Type == "status" {
				v.mu.Lock()
				v.last = m.state
				close(v.news)
				v.news = make(chan struct{})
				v.mu.Unlock()
			}
		}
	}()
	return v
}

// patience is how long a busy machine may take to show what is promised within a second;
// the log tells how long it took.
const patience = 4 * time.Second

// sees waits until the page shows a state as wanted, which may not take longer than within.
func (p *plant) sees(within time.Duration, what string, ok func(*state) bool) {
	p.t.Helper()
	begun := time.Now()
	for limit := time.After(within); ; {
		p.viewer.mu.Lock()
		s, news := p.viewer.last, p.viewer.news
		p.viewer.mu.Unlock()
		if ok(&s) {
			p.t.Logf("the page showed %s after %v", what, time.Since(begun).Round(time.Millisecond))
			return
		}
		select {
		case <-news:
		case <-limit:
			p.t.Errorf("%v later the page does not show %s, but %+v", within, what, s)
			return
		}
	}
}

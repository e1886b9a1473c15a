package webui

import (
	"net"
	"net/http"
	"net/netip"
	"sync"
	"time"
)

// How wrong keys are slowed down. At the last pace an address gets 2,880 tries a day.
const (
	freeTries  = 5                // [1] wrong keys in a row that cost nothing: people mistype
	firstWait  = time.Second      // after one more; doubled by each that follows
	lastWait   = 30 * time.Second // at most
	pardonIn   = 10 * time.Minute // without a wrong key, and the count begins anew
	maxWatched = 4096             // [1] addresses that are counted apart
)

// tries counts the wrong keys that came from each address.
type tries struct {
	now func() time.Time

	mu sync.Mutex
	by map[netip.Prefix]*strikes
}

type strikes struct {
	count int
	last  time.Time
	until time.Time // no key is looked at before
}

func newTries(now func() time.Time) *tries {
	return &tries{now: now, by: map[netip.Prefix]*strikes{}}
}

// check reports whether right says that the key of a request is. Where too many wrong
// ones came from its address it does not ask, and returns the time to wait: the right
// key is refused then too, since its acceptance is what a guesser looks for.
func (t *tries) check(r *http.Request, right func() bool) (ok bool, wait time.Duration) {
	t.mu.Lock() // over the comparison too: else many tries at once would be one
	defer t.mu.Unlock()
	now, from := t.now(), neighbourhood(r.RemoteAddr)
	s := t.of(from, now)
	if wait := s.until.Sub(now); wait > 0 {
		return false, wait
	}
	if right() {
		delete(t.by, from)
		return true, 0
	}
	s.count++
	s.last = now
	if over := s.count - freeTries; over > 0 {
		s.until = now.Add(min(firstWait<<min(over-1, 10), lastWait))
	}
	return false, 0
}

// of returns the count of an address. Addresses past maxWatched share one.
func (t *tries) of(from netip.Prefix, now time.Time) *strikes {
	s := t.by[from]
	if s == nil && len(t.by) >= maxWatched {
		for a, old := range t.by {
			if now.Sub(old.last) > pardonIn {
				delete(t.by, a)
			}
		}
		if len(t.by) >= maxWatched {
			from = netip.Prefix{}
			s = t.by[from]
		}
	}
	if s == nil || now.Sub(s.last) > pardonIn {
		s = &strikes{}
		t.by[from] = s
	}
	return s
}

// neighbourhood is what one machine can send from: an IPv4 address, or the 64 bits
// of an IPv6 network, of which a machine chooses the rest itself. An address that
// cannot be read is one with all such.
func neighbourhood(remote string) netip.Prefix {
	host, _, err := net.SplitHostPort(remote)
	if err != nil {
		return netip.Prefix{}
	}
	a, err := netip.ParseAddr(host)
	if err != nil {
		return netip.Prefix{}
	}
	a = a.Unmap().WithZone("")
	bits := 64
	if a.Is4() {
		bits = 32
	}
	p, _ := a.Prefix(bits) // the bits fit
	return p
}

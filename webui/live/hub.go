package live

import (
	"log/slog"
	"net/http"
	"sync"
	"sync/atomic"
	"time"

	"github.com/gorilla/websocket"

	"joulewell/daq"
	"joulewell/daq/series"
)

// The limits of a hub.
const (
	maxViewers    = 400 // websockets in all; each takes a descriptor and two goroutines
	maxPerAddress = 100 // from one address beyond this machine: a class behind one gateway
	maxGroups     = 64  // different subscriptions, each with a goroutine and an encoding of its own

	queuedTimed = 16  // frames messages kept for a viewer with a rate
	queuedEvery = 256 // and for one of every reading

	statusEvery = time.Second
)

// Options are what a hub needs to know.
type Options struct {
	Session string                                 // random, new at each start of the daemon
	Well    func() (height, potential []float64)   // [m], [J] for hello; nil = no well
	Status  func() *daq.Status                     // the bench's newest status
	Allowed func(r *http.Request) bool             // may this page connect?
	Refuse  func(http.ResponseWriter, int, string) // answers a request that will not be upgraded
	Log     *slog.Logger

	Calibrations func() []Calibration // for hello; nil = none are kept
	Trials       func() series.Brief  // nil = none are made
}

// Hub spreads one bench's frames and status to its viewers.
type Hub struct {
	options Options
	tape    tape
	groups  atomic.Pointer[[]*group] // of byKey, for the bench's goroutine

	lost    atomic.Uint64
	ignored atomic.Uint64
	updated atomic.Int64 // [ns] since began, when the newest frame came; 0 = never
	began   time.Time

	running sync.WaitGroup // viewers and groups
	buffers sync.Pool      // write buffers of the connections

	mu       sync.Mutex
	closed   bool
	byKey    map[Subscription]*group
	viewers  map[*viewer]struct{}
	admitted int            // viewers, and those about to become one
	perHost  map[string]int // admitted, by address beyond this machine
	told     Status         // the status last sent
	toldAt   time.Time
}

// NewHub returns a hub without viewers.
func NewHub(o Options) *Hub {
	h := &Hub{
		options: o,
		began:   time.Now(),
		byKey:   map[Subscription]*group{},
		viewers: map[*viewer]struct{}{},
		perHost: map[string]int{},
	}
	h.groups.Store(&[]*group{})
	return h
}

// Publish hands the hub a batch. It is a [daq.Listener]: it copies the frames and
// returns without waiting for anyone. Only one goroutine may call it.
func (h *Hub) Publish(b daq.Batch) {
	if len(b.Frames) > 0 {
		h.updated.Store(max(1, int64(time.Since(h.began))))
	}
	groups := *h.groups.Load()
	if len(groups) == 0 {
		return
	}
	h.tape.write(b.Frames, b.Newest)
	for _, g := range groups {
		g.grown()
	}
}

// Tell hands the hub the bench's status. It goes to all viewers when something in it
// has changed that people should know, and else once a second. Viewers who were greeted
// with another setup of the bench, or another seal, are sent away, to come back and learn
// of the new one.
func (h *Hub) Tell(st *daq.Status, now time.Time) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if len(h.viewers) == 0 {
		return
	}
	trials := h.trials()
	for v := range h.viewers {
		switch {
		case v.setup != st.Setup:
			v.goAway(websocket.CloseServiceRestart, "the bench was calibrated anew: connect again")
		case v.sealed != trials.Sealed:
			v.goAway(websocket.CloseServiceRestart, "results were sealed or opened: connect again")
		}
	}
	s := StatusOf(st, len(h.viewers), trials)
	if !s.changed(&h.told) && now.Sub(h.toldAt) < statusEvery {
		return
	}
	data, err := encodeStatus(s)
	if err != nil {
		h.options.Log.Error("encode the status", "cause", err)
		return
	}
	h.told, h.toldAt = s, now
	for v := range h.viewers {
		v.outbox.tell(data)
	}
}

// trials tells how the trials stand.
func (h *Hub) trials() series.Brief {
	if h.options.Trials == nil {
		return series.Brief{}
	}
	return h.options.Trials()
}

// Viewers returns how many are connected now.
func (h *Hub) Viewers() int {
	h.mu.Lock()
	defer h.mu.Unlock()
	return len(h.viewers)
}

// Lost returns how many readings viewers have lost so far, summed over viewers.
func (h *Hub) Lost() uint64 { return h.lost.Load() }

// Ignored returns how many messages of viewers were not understood and had no effect.
func (h *Hub) Ignored() uint64 { return h.ignored.Load() }

// Age returns the time since the newest frame came, or false when none has.
func (h *Hub) Age() (time.Duration, bool) {
	at := h.updated.Load()
	return time.Since(h.began) - time.Duration(at), at > 0
}

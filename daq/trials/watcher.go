package trials

import (
	"fmt"
	"math"

	"joulewell/daq/frame"
	"joulewell/daq/setup"
)

// State is where a bench stands in the round of trials, in words that people see.
type State string

// The states, in the order of the round.
const (
	Waiting  State = "waiting"  // until somebody holds the bob still
	Held     State = "held"     // at rest in a hand: ready for a release
	LetGo    State = "let go"   // it has left the place, by itself or in the hand: not known yet
	Swinging State = "swinging" // by itself
)

// Rule says when a trial is over. It always is when the bob rests again, is taken in
// hand, or when readings cease.
type Rule struct {
	Cycles int     `json:"cycles"`   // [1] whole swings after the release; 0 = however many
	Length float64 `json:"length_s"` // [s] after the release; 0 = however long
	Floor  bool    `json:"floor"`    // a contact with the floor ends it
}

// Reason says why a trial was over, in words that people see.
type Reason string

// The reasons.
const (
	ByCycles Reason = "enough cycles"
	ByLength Reason = "enough time"
	ByRest   Reason = "at rest again"
	ByFloor  Reason = "touched the floor"
	ByHand   Reason = "taken in hand"
	BySilent Reason = "readings ceased"
)

// Kind says what an event is.
type Kind uint8

// The kinds of event.
const (
	Nothing  Kind = iota
	Released      // the bob was let go
	Over          // the trial that began with the last release is over
)

// Event is what a frame brought to light.
type Event struct {
	Kind   Kind
	T      int64   // [ns] of the release or of the end, on the bench's time base
	Seen   int64   // [ns] of the frame by which it was known
	Height float64 // [m] Released: where the bob was held
	Reason Reason  // Over: why
	Cycles int     // [1] Over: whole swings counted
}

// Watcher recognises trials in the frames of a bench. It looks at each frame once, holds
// nothing of it, allocates nothing and never waits. It is for one goroutine.
type Watcher struct {
	rule  Rule
	body  *body
	track track
	rest  rest
	state State
	try   try
	swing swinging
}

// NewWatcher returns a watcher of bench b that waits for a rest. It refuses a setup that
// cannot be, and a rule of negative numbers.
func NewWatcher(b *setup.Bench, r Rule) (*Watcher, error) {
	if r.Cycles < 0 || !(r.Length >= 0) || math.IsInf(r.Length, 0) {
		return nil, fmt.Errorf("watch bench %s: over after %d cycles or %g s: neither may be negative; zero is for none", b.Name, r.Cycles, r.Length)
	}
	hung, err := newBody(b)
	if err != nil {
		return nil, err
	}
	w := &Watcher{rule: r, body: hung, state: Waiting}
	w.track.body, w.rest.body = hung, hung
	return w, nil
}

// State returns where the bench stands after the newest frame.
func (w *Watcher) State() State { return w.state }

// Feed takes the next frame, in order of time.
func (w *Watcher) Feed(f *frame.Frame) Event {
	if w.track.broken(f) {
		return w.restart(f)
	}
	if !w.track.add(f) {
		return Event{}
	}
	s := w.track.back(0)
	place := w.rest
	left := w.rest.take(s, w.track.feels(), w.track.echoes.apart)
	switch w.state {
	case Waiting, Held:
		switch {
		case left && place.held():
			w.try = try{place: place, from: place.left(w.track.feels())}
			w.state = LetGo
		case w.rest.held():
			w.state = Held
		default:
			w.state = Waiting
		}
	case LetGo:
		return w.decide(s)
	case Swinging:
		return w.follow(s)
	}
	return Event{}
}

// restart begins anew with f, after a silence or a restart of the device.
func (w *Watcher) restart(f *frame.Frame) Event {
	e := Event{}
	if w.state == Swinging {
		e = Event{Kind: Over, T: w.track.last, Seen: f.T, Reason: BySilent, Cycles: w.swing.turns / 2}
	}
	w.track.begin(f)
	w.rest = rest{body: w.body}
	w.state = Waiting
	return e
}

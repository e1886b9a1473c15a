package trials

import "math"

// try is a departure that may be a release.
type try struct {
	place rest  // that was left
	from  int64 // [ns] when
	free  int   // stretches in which the bob moved by itself, twice those less in which it did not
}

const (
	stretch   = 0.12 // [s] over which momentum and impulse are compared, or a third of half a swing
	enough    = 5    // stretches by which a release is known
	patience  = 1.5  // [s] or whole swings after which a departure was none
	unfree    = 0.5  // [1] share of force less weight that must be missing for a hand to be at work
	tooUnsure = 0.25 // [1] the same, of uncertainty, from which on a stretch tells nothing
)

// stretchOf is how long a stretch must be to tell.
func (b *body) stretchOf() float64 { return min(stretch, b.half/3) }

// free says whether the bob moves by itself: 1 yes, -1 no, 0 the stretch does not tell.
// Near its neutral height force and weight balance, carried or not.
func (o *outside) free(least float64) int {
	pull := math.Abs(o.pull)
	switch {
	case pull < least || o.u > tooUnsure*pull:
		return 0
	case math.Abs(o.force) < unfree*pull:
		return 1
	}
	return -1
}

// decide weighs whether a departure is a release.
func (w *Watcher) decide(s *sample) Event {
	t := &w.try
	if o, ok := w.track.balance(w.body.stretchOf(), t.from); ok {
		switch o.free(max(w.body.least, 0.3*math.Abs(t.place.pull))) {
		case 1:
			t.free++
		case -1:
			t.free = max(0, t.free-2)
		}
	}
	switch {
	case t.free >= enough:
		return w.released(s)
	case w.rest.held():
		w.state = Held
	case w.rest.steady || seconds(s.t-t.from) > patience*max(1, 2*w.body.half):
		w.state = Waiting
	}
	return Event{}
}

// released begins a trial. The release is the instant from which on the impulse accounts
// for all the momentum there is now.
func (w *Watcher) released(s *sample) Event {
	at := w.try.from
	want := s.impulse - w.body.inertia*s.velocity
	for n := kept - 2; n >= 0; n-- {
		a, z := w.track.back(n+1), w.track.back(n)
		if a == nil || a.t < w.try.from-nanoseconds(shortest) || z.t > s.t {
			continue
		}
		if (a.impulse-want)*(z.impulse-want) <= 0 && z.impulse != a.impulse {
			at = a.t + int64(float64(z.t-a.t)*(want-a.impulse)/(z.impulse-a.impulse))
			break
		}
	}
	w.state = Swinging
	w.swing = swinging{from: at}
	return Event{Kind: Released, T: at, Seen: s.t, Height: w.try.place.height}
}

package trials

import "math"

// try is a departure that may be a release.
type try struct {
	place rest   // that was left
	from  int64  // [ns] when
	free  int    // stretches in which the bob moved by itself, twice those less in which it did not
	moved int64  // [ns] the newest stretch in which it did
	sides [2]int // of these above the neutral height and below it
	at    int64  // [ns] of the release, 0 = not known yet
}

const (
	stretch   = 0.12 // [s] over which momentum and impulse are compared, or a quarter of half a swing
	enough    = 6    // by which a release is known
	both      = 2    // on either side of the neutral height
	plenty    = 12   // on whichever
	patience  = 1.5  // [s] or whole swings after which a departure was none
	unfree    = 0.5  // [1] share of force less weight that must be missing for a hand to be at work
	early     = 0.5  // [s] by which a release may lie before the bob was seen to leave
	late      = 0.1  // [s] and after
	tooUnsure = 0.25 // [1] the same, of uncertainty, from which on a stretch tells nothing
)

// stretchOf is how long a stretch must be to tell.
func (b *body) stretchOf() float64 { return min(stretch, b.half/4) }

// byFloor reports whether what acted on the bob in a stretch may have been the floor, as
// far as the velocity at its beginning tells.
func (w *Watcher) byFloor(o *outside, z *sample) bool {
	if o.force <= 0 || o.since == nil {
		return false
	}
	astray := o.since.uVelocity * seconds(z.t-o.since.t)
	return w.deepest(o.since, z) < onFloor+3*w.body.noise+3*astray
}

// byWave reports whether what acted on the bob in a stretch has been undone over a longer
// one, as a wave in the spring does and a hand that carries the bob does not.
func (w *Watcher) byWave(least float64) bool {
	o, ok := w.track.balance(w.body.half/2, w.try.from)
	return ok && o.free(least) > 0
}

// free says whether the bob moves by itself: 2 surely, 1 yes, -1 no, 0 the stretch does not
// tell. Near its neutral height force and weight balance, carried or not.
func (o *outside) free(least float64) int {
	pull := math.Abs(o.pull)
	switch {
	case pull < least || o.u > tooUnsure*pull:
		return 0
	case math.Abs(o.force)+2*o.u < unfree*pull/2:
		return 2
	case math.Abs(o.force) < unfree*pull:
		return 1
	}
	return -1
}

// decide weighs whether a departure is a release.
func (w *Watcher) decide(s *sample) Event {
	t := &w.try
	if t.at == 0 && !w.track.thirds() {
		w.begun(s, t.soon())
	}
	if o, ok := w.track.balance(w.body.stretchOf(), t.from); ok {
		least := max(w.body.least, 0.3*math.Abs(t.place.pull))
		switch free := o.free(least); free {
		case 1, 2:
			if t.free < enough { // it is better known each time
				w.begun(s, t.soon())
			}
			t.count(free*w.track.weighs(), o.pull)
			t.moved = s.t
		case -1:
			if w.byFloor(&o, s) {
				t.sides[1] = max(t.sides[1], both) // the floor has braked it
				if t.sides[0] >= both && o.force > w.body.weight {
					t.free = max(t.free, enough) // no hand sets it down so hard
				}
			} else if !w.byWave(least) {
				if t.free -= 2; t.free <= 0 { // once may be a bounce between two distances
					t.free, t.sides = 0, [2]int{}
				}
			}
		}
	}
	switch {
	case t.sure():
		if t.at == 0 && !w.track.thirds() {
			w.begunInHand(s)
		}
		if t.at == 0 {
			t.at = t.from
		}
		return w.released(s)
	case w.rest.held():
		w.state = Held
	case w.rest.steady || seconds(s.t-t.since()) > patience*max(1, 2*w.body.half):
		w.state = Waiting
	}
	return Event{}
}

// count counts stretches in which the bob moved by itself.
func (t *try) count(free int, pull float64) {
	t.free += free
	if pull < 0 {
		t.sides[0] += free
	} else {
		t.sides[1] += free
	}
}

// since returns from when on patience counts: a bob that bounces shows only between two
// bounces that it moves by itself.
func (t *try) since() int64 {
	if t.free > 0 {
		return min(t.moved, t.from+nanoseconds(patience))
	}
	return t.from
}

// sure reports whether the bob has been let go: it has moved by itself for long enough, and
// been braked by the spring as well as sped up, or for very long. A hand that carries the
// bob quickly may do as weight and spring would for a moment, hardly through both.
func (t *try) sure() bool {
	return t.free >= enough && min(t.sides[0], t.sides[1]) >= both || t.free >= plenty
}

// released begins a trial.
func (w *Watcher) released(s *sample) Event {
	w.state = Swinging
	w.swing = swinging{from: w.try.at}
	moves := false
	for n := kept - 1; n > 0; n-- { // turns while it was not known yet
		before := w.track.back(n)
		if before == nil || before.t <= w.try.at {
			continue
		}
		if moves = moves || before.velocity*w.try.place.pull > 0; moves {
			w.swing.count(before)
		}
	}
	return Event{Kind: Released, T: w.try.at, Seen: s.t, Height: w.try.place.height}
}

// soon is the latest instant [ns] of a release by which the bob left its place.
func (t *try) soon() int64 { return t.from + nanoseconds(late) }

// begunInHand tells the same of a bob that had wavered in the hand before: it was let go
// where it was held, which nothing is that has met the floor meanwhile.
func (w *Watcher) begunInHand(s *sample) {
	t := &w.try
	w.begun(s, s.t)
	if off := w.track.sampleAt(t.at).height - t.place.height; !(math.Abs(off) < loosely*1e-3+4*w.body.noise) {
		t.at = 0
	}
}

// begun tells when the bob was let go, by a velocity soon after: at the instant from which
// on the impulse accounts for all that momentum, if that lies before until [ns].
func (w *Watcher) begun(s *sample, until int64) {
	t := &w.try
	if !s.known() || math.Abs(s.velocity) < 4*s.uVelocity {
		return
	}
	owed := s.impulse - w.body.inertia*s.velocity
	for n := kept - 2; n >= 0; n-- {
		a, z := w.track.back(n+1), w.track.back(n)
		if a == nil || a.t < t.from-nanoseconds(early) || z.t > until {
			continue
		}
		if (a.impulse-owed)*(z.impulse-owed) <= 0 && z.impulse != a.impulse {
			t.at = a.t + int64(float64(z.t-a.t)*(owed-a.impulse)/(z.impulse-a.impulse))
			return
		}
	}
}

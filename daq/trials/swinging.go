package trials

import "math"

// swinging is a trial that is going on.
type swinging struct {
	from    int64   // [ns] the release
	fastest float64 // [m/s]
	way     float64 // [1] sign of the velocity last seen, 0 = none yet
	turns   int     // changes of that sign
	turned  int64   // [ns] when the last was seen
	hand    int     // stretches in a row in which something else than the spring moved the bob
	since   int64   // [ns] the first of them
}

const (
	lasting   = 5    // stretches in a row
	handLasts = 0.4  // [s] for which a hand must be at work to end a trial
	turnShare = 0.05 // [1] of the largest velocity that a turn must pass on either side
	bounce    = 0.35 // [1] share of the momentum that a floor gives back at least
	floorSpan = 0.3  // [s] around a contact with the floor
)

// follow looks for the end of a trial.
func (w *Watcher) follow(s *sample) Event {
	g := &w.swing
	g.count(s)
	reason, at := Reason(""), s.t
	switch {
	case w.rule.Floor && w.struck(s):
		reason = ByFloor
	case w.inHand(s):
		reason, at = ByHand, g.since
	case w.rest.steady:
		reason, at = ByRest, w.rest.since
	case w.rule.Cycles > 0 && g.done(2*w.rule.Cycles, s.t-nanoseconds(w.body.half/2)):
		reason = ByCycles
	case w.rule.Length > 0 && seconds(s.t-g.from) >= w.rule.Length:
		reason = ByLength
	default:
		return Event{}
	}
	w.state = Waiting
	return Event{Kind: Over, T: at, Seen: s.t, Reason: reason, Cycles: g.turns / 2}
}

// done reports whether the bob has turned so often, the last time before an instant: a
// turning point is measured by what follows it, too.
func (g *swinging) done(turns int, before int64) bool {
	return g.turns > turns || g.turns == turns && g.turned < before
}

// count counts the turns.
func (g *swinging) count(s *sample) {
	if !s.known() {
		return
	}
	speed := math.Abs(s.velocity)
	if speed < max(4*s.uVelocity, turnShare*g.fastest) {
		return
	}
	g.fastest = max(g.fastest, speed)
	if way := math.Copysign(1, s.velocity); way != g.way {
		if g.way != 0 {
			g.turns, g.turned = g.turns+1, s.t
		}
		g.way = way
	}
}

// inHand reports whether a hand has been at work for long.
func (w *Watcher) inHand(s *sample) bool {
	g := &w.swing
	o, ok := w.track.balance(w.body.stretchOf(), g.from)
	if !ok {
		return false
	}
	switch o.free(w.body.least) {
	case 1, 2:
		g.hand = 0
	case -1:
		if w.byFloor(&o, s) {
			break
		}
		if g.hand == 0 {
			g.since = o.since.t
		}
		g.hand++
	}
	return g.hand > 0 && seconds(s.t-g.since) > handLasts+w.body.stretchOf() && g.hand >= lasting
}

// struck reports whether the floor has given the bob an impulse: it came down, goes up,
// and what force and weight gave it does not account for that.
func (w *Watcher) struck(s *sample) bool {
	o, ok := w.track.balance(min(floorSpan, w.body.half), w.swing.from)
	if !ok || o.since.velocity > 0 || s.velocity < 0 {
		return false
	}
	span := seconds(s.t - o.since.t)
	given := o.force * span
	came := w.body.inertia * math.Abs(o.since.velocity)
	if given < bounce*came || o.force < 4*o.u || given < bounce*w.body.inertia*w.swing.fastest/2 {
		return false
	}
	return w.deepest(o.since, s) < onFloor+3*w.body.noise
}

// deepest returns how low [m] the bob would have come between two samples by force and
// weight alone.
func (w *Watcher) deepest(a, z *sample) float64 {
	low, height, before := a.height, a.height, a
	for n := kept - 1; n >= 0; n-- {
		b := w.track.back(n)
		if b == nil || b.t <= a.t || b.t > z.t {
			continue
		}
		speed := a.velocity + ((before.impulse+b.impulse)/2-a.impulse)/w.body.inertia
		height += speed * seconds(b.t-before.t)
		low = min(low, height)
		before = b
	}
	return low
}

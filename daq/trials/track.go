package trials

import (
	"math"

	"joulewell/daq/frame"
)

// sample is the bob at one instant, a few hundredths of a second apart.
type sample struct {
	t         int64   // [ns]
	pull      float64 // [N] mean force at the top less weight since the sample before
	impulse   float64 // [N s] of force less weight since the watch began
	height    float64 // [m]
	velocity  float64 // [m/s] NaN = not known here
	seen      bool    // by the ranger; else by the force, through the spring law
	fresh     bool    // with a distance of a ranger too slow for a live motion
	uHeight   float64 // [m] from scatter and all else
	uVelocity float64 // [m/s]
}

func (s *sample) known() bool { return !math.IsNaN(s.velocity) }

const (
	pace    = 20_000_000  // [ns] between samples at least
	deaf    = 300_000_000 // [ns] without a force after which the spring law stands in
	silence = 1.0         // [s] without a frame that ends what was going on
	kept    = 256         // samples: some five seconds
	absurd  = 1e3         // [N] no force of such a bench is larger
)

// track turns frames into samples and keeps the newest.
type track struct {
	body *body
	ring [kept]sample
	end  uint64 // samples so far

	begun    bool
	last     int64 // [ns] of the newest frame
	felt     int64 // [ns] of the newest force
	echoes   echoes
	pull     float64 // [N] at the newest frame
	impulse  float64 // [N s]
	moment   float64 // [N s2] time integral of impulse
	now      sample  // in the making
	from     int64   // [ns] its beginning
	impulse0 float64 // [N s] at its beginning
}

// back returns the n-th newest sample, counted from 0; nil where it is not kept.
func (k *track) back(n int) *sample {
	if n < 0 || uint64(n) >= min(k.end, kept) {
		return nil
	}
	return &k.ring[(k.end-1-uint64(n))%kept]
}

// begin forgets everything before f.
func (k *track) begin(f *frame.Frame) {
	*k = track{body: k.body, begun: true, last: f.T, felt: f.T - deaf, from: f.T}
}

// broken reports whether the frames before f are no part of the same story.
func (k *track) broken(f *frame.Frame) bool {
	return !k.begun || f.T < k.last || seconds(f.T-k.last) > silence || f.Flags&frame.NewEpoch != 0
}

// add takes a frame and reports whether a sample is complete with it.
func (k *track) add(f *frame.Frame) bool {
	moves := f.Height.Known() && f.Velocity.Known()
	before := k.pull
	if f.Force.Known() && math.Abs(f.Force.Value) < absurd {
		k.pull, k.felt = f.Force.Value-k.body.weight, f.T
	} else if f.T-k.felt >= deaf {
		switch {
		case moves:
			k.pull = k.body.pull(f.Height.Value)
		case f.Distance.Known() && f.Flags&frame.Outlier == 0:
			k.pull = k.body.pull(k.body.distance.Height(f.Distance.Value))
		}
	}
	k.carry(before, f.T)
	if moves {
		k.now.t, k.now.impulse = f.T, k.impulse
		k.now.height, k.now.uHeight = f.Height.Value, f.Height.U
		k.now.velocity, k.now.uVelocity = f.Velocity.Value, f.Velocity.U
		k.now.seen = true
	}
	if f.Distance.Known() && f.Flags&frame.Outlier == 0 {
		k.echoes.add(echo{f.T, k.body.distance.Height(f.Distance.Value), k.impulse, k.moment})
		if k.sparse() {
			k.now.seen, k.now.fresh = true, true
			k.now.height, k.now.uHeight = k.echoes.back(0).height, k.body.noise
		}
	}
	if f.T-k.from < pace {
		return false
	}
	k.now.pull = (k.impulse - k.impulse0) / seconds(f.T-k.from)
	switch {
	case k.sparse() && k.follows():
		seen, height := k.now.seen, k.now.height
		k.guess(f.T)
		if seen {
			k.now.height, k.now.uHeight = height, k.body.noise
		}
	case k.sparse():
		k.now.t, k.now.impulse = f.T, k.impulse
		k.reckon()
	case !k.now.seen:
		k.guess(f.T)
	}
	k.ring[k.end%kept] = k.now
	k.end++
	k.from, k.impulse0 = f.T, k.impulse
	k.now = sample{}
	return true
}

// carry carries impulse and its integral on to t, the pull having gone from before to now.
func (k *track) carry(before float64, t int64) {
	step := seconds(t - k.last)
	was := k.impulse
	k.impulse += (before + k.pull) / 2 * step
	k.moment += (was + k.impulse) / 2 * step
	k.last = t
}

// guess fills in the motion from the force where the ranger is deaf: between the middles
// of this sample and the one before.
func (k *track) guess(end int64) {
	before := k.back(0)
	k.now.t, k.now.impulse = k.from, k.impulse0
	if before == nil || !k.feels() {
		k.now.height, k.now.velocity = math.NaN(), math.NaN()
		return
	}
	b := k.body
	rate, apart := b.apparatus.Spring.Rate.Value, seconds(end-k.from)
	k.now.height = b.place((before.pull + k.now.pull) / 2)
	k.now.velocity = (before.pull - k.now.pull) / rate / apart
	k.now.uHeight = b.feel / rate
	k.now.uVelocity = b.unsure(apart)
}

// feels reports whether a load cell is heard.
func (k *track) feels() bool { return k.last-k.felt < deaf }

// farthest is how long [s] before now a stretch may begin beyond its least length.
const farthest = 0.8

// outside is what Newton's second law leaves over in a stretch.
type outside struct {
	since *sample // its beginning
	pull  float64 // [N] mean force less weight
	force float64 // [N] mean of what else acts on the bob, upward
	u     float64 // [N] standard uncertainty of force, from the velocities
}

// balance compares momentum with impulse over the shortest stretch that ends now, lasts
// at least so long [s] and does not reach back before from. It reports false where the
// motion is not known.
func (k *track) balance(least float64, from int64) (outside, bool) {
	if k.thirds() {
		return k.newton(from)
	}
	z := k.back(0)
	if z == nil || !z.known() {
		return outside{}, false
	}
	for n := 1; ; n++ {
		a := k.back(n)
		if a == nil || a.t < from || seconds(z.t-a.t) > least+farthest {
			return outside{}, false
		}
		span := seconds(z.t - a.t)
		if span < least || !a.known() {
			continue
		}
		impulse, m := z.impulse-a.impulse, k.body.inertia
		return outside{
			since: a,
			pull:  impulse / span,
			force: (m*(z.velocity-a.velocity) - impulse) / span,
			u:     m * math.Sqrt(z.uVelocity*z.uVelocity+a.uVelocity*a.uVelocity) / span,
		}, true
	}
}

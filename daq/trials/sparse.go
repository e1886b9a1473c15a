package trials

import "math"

// echo is one distance of a slow ranger.
type echo struct {
	t       int64   // [ns]
	height  float64 // [m]
	impulse float64 // [N s] of force less weight until then
	moment  float64 // [N s2] time integral of impulse
}

// echoes keeps the newest distances.
type echoes struct {
	ring  [4]echo
	end   uint64
	apart float64 // [s] usual time between two
}

const (
	tooFew  = 0.045 // [s] between distances, from which on no live motion comes of them
	settles = 8     // distances in which the usual time between them is learnt
)

func (e *echoes) add(x echo) {
	if b := e.back(0); b != nil {
		step := min(seconds(x.t-b.t), 3*tooFew)
		if e.end == 1 {
			e.apart = step
		}
		e.apart += (step - e.apart) / settles
	}
	e.ring[e.end%uint64(len(e.ring))] = x
	e.end++
}

func (e *echoes) back(n uint64) *echo {
	if n >= min(e.end, uint64(len(e.ring))) {
		return nil
	}
	return &e.ring[(e.end-1-n)%uint64(len(e.ring))]
}

// sparse reports whether distances are too far apart for a live motion.
func (k *track) sparse() bool { return k.echoes.apart > tooFew }

// follows reports whether the force follows the bob so well that it tells its velocity: the
// waves in the coils are small.
func (k *track) follows() bool { return k.feels() && !k.body.wavy }

// thirds reports whether motion is told by three distances at a time.
func (k *track) thirds() bool { return k.sparse() && !k.follows() }

// reckon fills in the velocity from the last two distances and the force since the first:
// as it is if nothing else acts on the bob.
func (k *track) reckon() {
	k.now.velocity = math.NaN()
	b, a := k.echoes.back(0), k.echoes.back(1)
	if a == nil || seconds(k.now.t-a.t) > 1 {
		if !k.now.seen {
			k.now.height = math.NaN()
		}
		return
	}
	span := seconds(b.t - a.t)
	mean := (b.height - a.height) / span
	k.now.velocity = mean + (k.now.impulse-(b.moment-a.moment)/span)/k.body.inertia
	k.now.uVelocity = k.body.noise * math.Sqrt2 / span
	if !k.now.seen {
		k.now.height = b.height + (k.now.velocity+mean)/2*seconds(k.now.t-b.t)
		k.now.uHeight = k.body.noise
	}
}

// newton compares three distances with the force between them: their second difference is
// the twofold integral of acceleration, so that it needs no velocity. It reports false
// where the newest sample has no distance of its own.
func (k *track) newton(from int64) (outside, bool) {
	z, y, x := k.echoes.back(0), k.echoes.back(1), k.echoes.back(2)
	s := k.back(0)
	if x == nil || !s.fresh || x.t < from || seconds(z.t-x.t) > farthest {
		return outside{}, false
	}
	late, early := seconds(z.t-y.t), seconds(y.t-x.t)
	span := (late + early) / 2
	pull := ((z.moment-y.moment)/late - (y.moment-x.moment)/early) / span
	gained := ((z.height-y.height)/late - (y.height-x.height)/early) / span
	noise := k.body.noise * math.Sqrt(1/(late*late)+1/(early*early)+math.Pow(1/late+1/early, 2)) / span
	return outside{since: k.sampleAt(x.t), pull: pull, force: k.body.inertia*gained - pull, u: k.body.inertia * noise}, true
}

// weighs is how many stretches one counts for.
func (k *track) weighs() int {
	if k.thirds() {
		return 2
	}
	return 1
}

// sampleAt returns the newest sample not after t, or the oldest.
func (k *track) sampleAt(t int64) *sample {
	for n := 0; ; n++ {
		s := k.back(n)
		if s == nil {
			return k.back(n - 1)
		}
		if s.t <= t {
			return s
		}
	}
}

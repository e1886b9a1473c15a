package trials

import "math"

const (
	leastBlow = 0.12  // [1] share of the largest momentum that the floor gives at least
	nearFloor = 8e-3  // [m] of a bob that touches the floor, all told
	fine      = 2e-3  // [s] of the steps in which a path is followed
	waveShare = 0.1   // [1] share of the spring's momentum that waves in it may hide
	smeared   = 0.060 // [s] around a blow in which fitted velocities tell nothing, at least
)

// floor looks for contacts with the floor: at the bottom of a swing the bob's momentum
// changes by more than force and weight account for, and without that it would have come
// below the floor.
func (v *view) floor() []Finding {
	if len(v.felt) == 0 {
		return v.lowest()
	}
	hits, first, blow := 0, 0.0, 0.0
	fastest := v.fastest()
	for _, b := range v.bottoms() {
		given, u := v.blow(b)
		if !(given > 5*u && given > leastBlow*v.body.inertia*fastest) || v.reach(b) > nearFloor+3*v.body.noise {
			continue
		}
		if hits++; hits == 1 {
			first, blow = (b[0].t+b[1].t)/2, given
		}
	}
	if hits == 0 {
		return nil
	}
	return finding(Floor, true, "the bob touched the floor %s, first %.2f s after the release with a blow of %.0f mN s: raise the support, or let it go from lower down",
		times(hits), first-v.release, 1e3*blow)
}

// lowest does without a load cell: a bob that comes to the floor has touched it.
func (v *view) lowest() []Finding {
	low := math.Inf(1)
	for i := range v.states {
		low = min(low, v.states[i].height.Value)
	}
	if low > v.body.noise {
		return nil
	}
	return finding(Floor, true, "the bob came down to %.1f mm above the floor: raise the support, or let it go from lower down", 1e3*low)
}

// bottoms returns the states on either side of each lower turn.
func (v *view) bottoms() (all [][2]*state) {
	for i := 1; i < len(v.states); i++ {
		if a, z := &v.states[i-1], &v.states[i]; a.velocity.Value <= 0 && z.velocity.Value > 0 {
			all = append(all, [2]*state{a, z})
		}
	}
	return all
}

// blow returns by how much the momentum [N s] grew around a bottom beyond the impulse of
// force less weight, and its standard uncertainty.
func (v *view) blow(b [2]*state) (given, u float64) {
	middle, wide := (b[0].t+b[1].t)/2, v.smear(b)
	before, u1 := v.unexplained(middle-wide-v.body.half/2, middle-wide)
	after, u2 := v.unexplained(middle+wide, middle+wide+v.body.half/2)
	waves := waveShare * v.body.apparatus.Spring.Mass.Value * v.fastest()
	return after - before, math.Sqrt(u1*u1 + u2*u2 + waves*waves)
}

// smear is how far [s] from a bottom velocities tell of one side only.
func (v *view) smear(b [2]*state) float64 {
	return max((b[1].t-b[0].t)/2, v.window, smeared)
}

// unexplained returns the mean of momentum less impulse [N s] between two instants, or of
// the state nearest before them where there is none, with its standard uncertainty.
func (v *view) unexplained(from, to float64) (mean, u float64) {
	n := 0
	add := func(s *state) {
		mean += v.body.inertia*s.velocity.Value - at(v.felt, v.impulse, s.t)
		u += v.body.inertia * s.velocity.U
		n++
	}
	for i := range v.states {
		if s := &v.states[i]; s.t >= from && s.t <= to {
			add(s)
		}
	}
	if s := v.before(from); n == 0 && s != nil {
		add(s)
	}
	return mean / float64(n), u / float64(n)
}

// reach returns how low [m] the bob would have come at a bottom by force and weight alone.
func (v *view) reach(b [2]*state) float64 {
	low := min(b[0].height.Value, b[1].height.Value)
	middle, wide := (b[0].t+b[1].t)/2, v.smear(b)
	from := v.before(middle - wide)
	if from == nil {
		return low
	}
	for _, h := range v.path(from, middle+wide) {
		low = min(low, h)
	}
	return low
}

// path follows the bob from a state by force and weight alone and returns its heights [m].
func (v *view) path(s *state, to float64) (heights []float64) {
	height := s.height.Value
	for t := s.t; t < to; t += fine {
		height += fine * (s.velocity.Value + v.given(s.t, t+fine/2)/v.body.inertia)
		heights = append(heights, height)
	}
	return heights
}

func times(n int) string {
	if n == 1 {
		return "once"
	}
	return itoa(n) + " times"
}

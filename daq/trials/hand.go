package trials

import "math"

// settled is how long [s] after the release a hand may still be near.
const settled = 0.06

// again looks for a hand at work after the release: for long, what force less weight gave
// is not what the bob's momentum gained.
func (v *view) again() (from float64, all []Finding) {
	if len(v.felt) == 0 || v.step() > tooFew {
		return math.Inf(1), nil
	}
	begun, votes, first := 0.0, 0, 0
	for i := range v.states {
		z := &v.states[i]
		for first < i && (v.states[first].t < v.release+settled || z.t-v.states[first].t > 2*v.body.stretchOf()) {
			first++
		}
		a := &v.states[first]
		span := z.t - a.t
		if span < v.body.stretchOf() {
			continue
		}
		given := v.given(a.t, z.t)
		o := outside{
			pull:  given / span,
			force: (v.body.inertia*(z.velocity.Value-a.velocity.Value) - given) / span,
			u:     v.body.inertia * math.Hypot(z.velocity.U, a.velocity.U) / span,
		}
		switch o.free(v.body.least) {
		case 1, 2:
			votes = 0
		case -1:
			if votes == 0 {
				begun = a.t
			}
			votes++
		}
		if votes >= lasting && z.t-begun > handLasts+v.body.stretchOf() {
			return begun, finding(HeldAgain, false, "a hand took the bob %.2f s after the release: only what was before counts", begun-v.release)
		}
	}
	return math.Inf(1), nil
}

// short looks for a trial with too few whole swings before a hand took the bob.
func (v *view) short(hand float64) []Finding {
	n := int((min(hand, v.end) - v.release) / (2 * v.body.half))
	if n >= v.cycles {
		return nil
	}
	return finding(TooShort, true, "the bob swung %s, %d whole swings are needed: wait longer before it is caught", times(n), v.cycles)
}

// swings counts the whole swings that begin at the release and end before an instant.
func (v *view) swings(before float64) int {
	record := v.swing.Record
	n := 0
	for i := range record {
		if record[i].T.Value <= before {
			n = (record[i].Index - record[0].Index) / 2
		}
	}
	return n
}

package loss

import (
	"fmt"
	"math"
)

// entry is an account with its sensitivities.
type entry struct {
	name, from string
	term       term
}

// friction returns the accounts of friction, and notes in l why one is missing.
func (b *books) friction(l *Ledger) []entry {
	var lines []entry
	spring, measured := b.spring(l)
	if measured = measured && b.tells(spring, l); measured {
		lines = append(lines, entry{InSpring, "loops of force over extension", spring})
	}
	if b.Evidence == nil || b.Evidence.Verdict == "" {
		if l.Air != nil {
			air := l.Air.estimate()
			t := b.term(air.Value)
			t.u[b.n+ofDrag] = air.U
			lines = append(lines, entry{ByDrag, "drag coefficient and area", t})
		}
		return lines
	}
	fit := &b.Evidence.named(b.Evidence.Verdict).Fit
	first := b.Record[0].Index
	shares := fit.shares(b.Record[b.From].Index-first, b.Record[b.To].Index-first)
	// The loops see, in the spring, loss that the decay counts among its own.
	inside := Viscous
	if !fit.Model.has(Viscous) {
		inside = Sliding
	}
	for i, q := range fit.Model.Parameters {
		t := b.decayed(fit, shares[i])
		name := map[Part]string{Viscous: ByViscous, Sliding: BySliding, Quadratic: ByQuadratic}[q.Part]
		if name == "" {
			name = string(q.Part) + " friction"
		}
		if measured && q.Part == inside {
			t = t.minus(spring)
			if q.Part == Viscous {
				name = ByAir
			}
		}
		lines = append(lines, entry{name, "decay of the turning points", t})
	}
	return lines
}

// unsure is the share of the loss that the expanded uncertainty of what the loops say may
// be, for them to divide it: with more, an account would be filled by chance.
const unsure = 0.2

// tells reports whether the loops say enough to divide the loss, and notes in l what they
// say where it is not enough.
func (b *books) tells(spring term, l *Ledger) bool {
	e, lost := spring.estimate(), -l.Change.Value
	if Coverage*e.U <= unsure*math.Abs(lost) {
		return true
	}
	l.Notes = append(l.Notes, fmt.Sprintf("loss inside the spring not told apart: the loops give it %s (k = %d), too unsure beside %s that went",
		joules(e.Value, Coverage*e.U), Coverage, amount(lost, 2)))
	return false
}

// decayed turns the share [m2] of a decay model into a term: rate times share, with
// the share's dependence on every turning point it was fitted to.
func (b *books) decayed(f *Fit, share graded) term {
	rate := b.Apparatus.Spring.Rate
	t := b.term(rate.Value * share.value)
	s := f.solved
	for j := range s.p { // covariance (widened by scatter^2) times gradient
		var c float64
		for k, g := range share.gradient {
			c += s.covariance.At(j, k) * g
		}
		for i := range b.n {
			p := &b.Record[i]
			u, whole := rate.Value*c*s.jacobian.At(i, j)/b.scatter, math.Hypot(p.Extension.U, p.Ripple)
			t.u[i] += u * p.Extension.U / whole
			t.u[b.n+sharedInputs+i] += u * p.Ripple / whole
		}
	}
	t.u[b.n+ofRate] = share.value * rate.U
	t.u[b.n+ofScale] = 2 * t.value * b.Scale
	return t
}

// spring returns what the loops say of the interval; false where they cannot.
func (b *books) spring(l *Ledger) (term, bool) {
	if b.Loops == nil {
		return term{}, false
	}
	if b.Loops.TooSlow != "" {
		l.Notes = append(l.Notes, "loss inside the spring not told: "+b.Loops.TooSlow)
		return term{}, false
	}
	from, to := b.Record[b.From].T.Value, b.Record[b.To].T.Value
	var inside LoopSet
	var seen, whole float64 // sums of squared amplitudes over half swings
	for _, o := range b.Loops.Loops {
		if o.From >= from && o.To <= to {
			inside.Loops = append(inside.Loops, o)
			seen += 2 * o.square
		}
	}
	for i := b.From; i < b.To; i++ {
		p, q := &b.Record[i], &b.Record[i+1]
		a := (math.Abs(p.Extension.Value-b.middle) + math.Abs(q.Extension.Value-b.middle)) / 2
		whole += float64(q.Index-p.Index) * a * a
	}
	if seen < whole/2 {
		l.Notes = append(l.Notes, fmt.Sprintf("loss inside the spring not told: loops of force over extension cover %.0f %% of the interval, at least half needed", 100*seen/whole))
		return term{}, false
	}
	over := whole / seen
	t := b.term(0)
	noise, shared, waves := inside.parts(&t.value)
	t.u[b.n+ofLoopNoise] = over * noise
	// What no loop covers may follow another law than the square: half of it is doubt.
	t.u[b.n+ofLoopShared] = math.Hypot(over*shared, (over-1)*t.value/math.Sqrt(12))
	t.u[b.n+ofLoopWaves] = waves
	t.value *= over
	return t, true
}

package loss

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"joulewell/calib/fit"
	"joulewell/energy"
	"joulewell/energy/quantity"
)

// Draw is the cross-check of [Ledger.Lost] by propagation of distributions (JCGM 101):
// so many times it draws everything that the loss depends on, from normal
// distributions, and what coil waves hide from between nothing and its bound, and works
// the loss out anew. It returns the refusals of [Balance], and of [fit.MonteCarlo] for
// too few trials.
func Draw(e Entries, trials int, from quantity.Source) (fit.Distribution, error) {
	b, err := open(e)
	if err != nil {
		return fit.Distribution{}, fmt.Errorf("draw the loss: %w", err)
	}
	before, after, err := b.hiddenAtMost()
	if err != nil {
		return fit.Distribution{}, fmt.Errorf("draw the loss: %w", err)
	}
	normal := distuv.Normal{Sigma: 1, Src: from}
	flat := distuv.Uniform{Max: 1, Src: from}
	return fit.MonteCarlo(func() float64 {
		at := state{apparatus: b.Apparatus, from: b.Record[b.From].Extension.Value, to: b.Record[b.To].Extension.Value}
		s, bob := &at.apparatus.Spring, &at.apparatus.Bob
		for _, q := range []*energy.Estimate{&s.Mass, &bob.Mass, &at.apparatus.Gravity} {
			q.Value += q.U * normal.Rand()
		}
		r, rate := s.RateTension, normal.Rand()
		s.Rate.Value += s.Rate.U * rate
		s.InitialTension.Value = max(0, s.InitialTension.Value+s.InitialTension.U*(r*rate+math.Sqrt(1-r*r)*normal.Rand()))
		at.from += b.scatter * b.Record[b.From].Extension.U * normal.Rand()
		at.to += b.scatter * b.Record[b.To].Extension.U * normal.Rand()
		at.offset = b.place() * normal.Rand()
		at.stretching = b.Scale * normal.Rand()
		return at.potential(b.moved(&at, at.from)) - at.potential(b.moved(&at, at.to)) +
			before*flat.Rand() - after*flat.Rand()
	}, trials, quantity.Probability)
}

// place is the standard uncertainty [m] of the place of all extensions together.
func (b *books) place() float64 {
	a := &b.Apparatus
	return math.Sqrt(b.Offset*b.Offset + a.Support.U*a.Support.U + a.Bob.Length.U*a.Bob.Length.U + a.Spring.NaturalLength.U*a.Spring.NaturalLength.U)
}

package plan

import (
	"errors"
	"fmt"
	"math"

	"joulewell/energy"
	"joulewell/energy/loss"
	"joulewell/energy/quantity"
)

// Drop is what is wanted.
type Drop struct {
	Bench     quantity.Bench    // its support, where given, is where the support is now
	Release   quantity.Quantity // [m] extension from which the bob is let go; not given = its hook just touches the hanging spring
	Clearance float64           // [m] wanted between floor and the bob's lowest point
	Ratio     quantity.Quantity // [1] of the amplitude after half a cycle to that before; not given = 1, nothing is lost
	Trial     quantity.Quantity // [m] clearance seen in a trial with the support where it is now; need not be given

	SafeExtension float64 // [m] what the spring bears; 0 = not stated
	Capacity      float64 // [N] what the load cell bears; 0 = not stated
}

// Places of the inputs beyond the bench.
const (
	atRelease = quantity.BenchInputs + iota
	atRatio
	atTurnWaves
	atWayWaves
	atRipple
	atTrial
	inputCount
)

// drop is a Drop made ready.
type drop struct {
	Drop
	inputs []quantity.Input
}

func ready(d Drop) (*drop, error) {
	d.Bench.Fill()
	if !d.Ratio.Given() {
		d.Ratio = quantity.Chosen(quantity.Ratio, 1)
	}
	if err := d.Bench.Check(); err != nil {
		return nil, err
	}
	if err := d.check(); err != nil {
		return nil, err
	}
	p := &drop{d, make([]quantity.Input, inputCount)}
	copy(p.inputs, d.Bench.Inputs())
	p.inputs[atRelease] = quantity.Input{Name: "release", Quantity: d.Release}
	p.inputs[atRatio] = quantity.Input{Name: "amplitude ratio", Quantity: d.Ratio}
	p.inputs[atTrial] = quantity.Input{Name: "clearance seen", Quantity: d.Trial}
	return p, p.waves()
}

func (d *Drop) check() error {
	switch {
	case d.Bench.Departure != nil:
		return errors.New("the spring has a curve: a drop is planned with a straight law only; give rate and initial tension of the line nearest to the curve in the range of the drop")
	case !(d.Clearance >= 0 && d.Clearance <= 100):
		return fmt.Errorf("clearance %g m: must lie between 0 and 100 m", d.Clearance)
	case !(d.Ratio.Value > 0 && d.Ratio.Value <= 1):
		return fmt.Errorf("amplitude ratio %g: must lie above 0 and not above 1: no swing grows by itself", d.Ratio.Value)
	case d.Release.Given() && !(d.Release.Value >= 0 && d.Release.Value <= 100):
		return fmt.Errorf("release extension %g m: must lie between 0 and 100 m", d.Release.Value)
	case d.Trial.Given() && !(d.Trial.Value > 0 && d.Trial.Value <= 100):
		return fmt.Errorf("clearance seen %g m: must be positive: a bob that struck the floor does not tell how far it would have gone, raise the support and try again", d.Trial.Value)
	case !(d.SafeExtension >= 0) || !(d.Capacity >= 0) || math.IsInf(d.SafeExtension+d.Capacity, 0):
		return errors.New("safe extension and capacity: must be positive, or zero where not stated")
	}
	for _, q := range []struct {
		name string
		quantity.Quantity
	}{{"release extension", d.Release}, {"clearance seen", d.Trial}} {
		if q.Given() && q.U == 0 {
			return fmt.Errorf("uncertainty of %s is zero: no reading is exact, state it or leave it to the last digit", q.name)
		}
	}
	return nil
}

// waves adds what the coils' own motion may do to the swing:
//
//   - at the lowest point they hide a share s of the energy (2 + r) k A^2 exchanged, so
//     that the bob turns up to s (2 + r) A too high;
//   - on the way they take from the bob, or lend it, up to such a share;
//   - the force at the support ripples by up to m_s g/2 after a drop by the bob's own
//     weight, and in proportion to the amplitude otherwise (own computation).
func (p *drop) waves() error {
	x := make([]float64, inputCount)
	for i, in := range p.inputs {
		x[i] = in.Value
	}
	s, err := p.swing(x)
	if err != nil {
		return err
	}
	ratio := s.apparatus.Spring.Mass.Value / s.apparatus.Bob.Mass.Value
	turn, err := loss.CoilWave(ratio, loss.FirstTurn)
	if err != nil {
		return fmt.Errorf("%w: %w", energy.ErrImpossible, err)
	}
	way, err := loss.CoilWave(ratio, loss.FirstWay)
	if err != nil {
		return fmt.Errorf("%w: %w", energy.ErrImpossible, err)
	}
	rate := s.apparatus.Spring.Rate.Value
	exchanged := way * loss.Exchanged(ratio, rate, s.amplitude)
	ripple := ratio / 2 * rate * s.amplitude
	p.inputs[atTurnWaves] = quantity.Input{Name: "coil waves, place", Quantity: quantity.Between(quantity.Length, 0, turn*(2+ratio)*s.amplitude)}
	p.inputs[atWayWaves] = quantity.Input{Name: "coil waves, energy", Quantity: quantity.Between(quantity.Energy, -exchanged, exchanged)}
	p.inputs[atRipple] = quantity.Input{Name: "coil waves, force", Quantity: quantity.Between(quantity.Force, -ripple, ripple)}
	return nil
}

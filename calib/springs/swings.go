package springs

import (
	"fmt"
	"math"

	"joulewell/calib/doubt"
	"joulewell/calib/fit"
	"joulewell/calib/masses"
	"joulewell/energy"
	"joulewell/energy/plan"
)

// Swing is one period with one load.
type Swing struct {
	Load   []string        // names of the pieces; none for the spring by itself
	Period energy.Estimate // [s] of one whole oscillation
}

// Swings is all that was read of a swinging spring. The amplitudes must be so small that
// every coil stays open: smaller than (load + w - F0)/k.
type Swings struct {
	Masses     masses.Set
	SpringMass energy.Estimate // [kg]
	Swings     []Swing
}

// Calibrate works out the rate from each period, k = (2 pi/T)^2 (M + f m_s), with the
// exact share f of a uniform spring's mass ([plan.EffectiveFraction]), and their weighted
// mean. Where they differ by more than their uncertainties allow, a doubt says so.
func (s Swings) Calibrate() (*Result, error) {
	const doing = "calibrate spring by its period"
	if err := s.check(doing); err != nil {
		return nil, err
	}
	rates, err := s.rates(&s.Masses, s.SpringMass.Value)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", doing, err)
	}
	r := &Result{Way: "periods"}
	rows, u := make([][]float64, len(rates)), make([]float64, len(rates))
	for i, swing := range s.Swings {
		rows[i], u[i] = []float64{1}, 2*rates[i]*swing.Period.U/swing.Period.Value
		r.Used = append(r.Used, i)
	}
	sources := s.Masses.Sources(func(m *masses.Set) []float64 {
		moved, _ := s.rates(m, s.SpringMass.Value) // checked above
		return moved
	})
	up, _ := s.rates(&s.Masses, s.SpringMass.Value+s.SpringMass.U)
	for i := range up {
		up[i] -= rates[i]
	}
	sources = append(sources, fit.Source{Name: springInput, Effects: up})
	mean, err := fit.Stated(rows, rates, u, sources)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", doing, err)
	}
	r.Joint, r.Residuals = mean.Joint, mean.Residuals
	r.settle(&mean)
	if len(rates) < 3 {
		r.Doubts.Add(doubt.Few, "%d periods: a slip would hardly show, take three masses", len(rates))
	}
	return r, nil
}

// rates returns the rate [N/m] that each period means.
func (s *Swings) rates(m *masses.Set, spring float64) ([]float64, error) {
	out := make([]float64, len(s.Swings))
	for i, swing := range s.Swings {
		bob, err := m.Mass(swing.Load)
		if err != nil {
			return nil, fmt.Errorf("swing %d: %w", i+1, err)
		}
		moving := bob
		if spring > 0 {
			moving += spring * plan.EffectiveFraction(spring/bob)
		}
		if !(moving > 0) {
			return nil, fmt.Errorf("swing %d: %w: nothing hung on a spring without mass", i+1, doubt.ErrContradict)
		}
		out[i] = math.Pow(2*math.Pi/swing.Period.Value, 2) * moving
	}
	return out, nil
}

func (s *Swings) check(doing string) error {
	if len(s.Swings) == 0 {
		return fmt.Errorf("%s: %w: no period: at least one is needed, better three with different masses", doing, doubt.ErrFew)
	}
	if err := s.Masses.Check(); err != nil {
		return fmt.Errorf("%s: %w", doing, err)
	}
	for i, swing := range s.Swings {
		switch t := swing.Period; {
		case !doubt.Finite(t.Value) || !(t.U > 0) || !doubt.Uncertain(t.U):
			return fmt.Errorf("%s: swing %d: %w: period %g s, uncertainty %g s: must be positive", doing, i+1, doubt.ErrNumber, t.Value, t.U)
		case !(t.Value > 0.05 && t.Value < 20):
			return fmt.Errorf("%s: swing %d: %w: period %g s: must lie between 0.05 and 20 s", doing, i+1, doubt.ErrUnit, t.Value)
		case t.U > 0.05*t.Value:
			return fmt.Errorf("%s: swing %d: %w: period %g s is uncertain by %.2g s: time ten swings", doing, i+1, doubt.ErrUnsteady, t.Value, t.U)
		}
	}
	return checkSpring(doing, s.SpringMass, s.Masses.Gravity)
}

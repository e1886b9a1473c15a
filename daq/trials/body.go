package trials

import (
	"fmt"
	"math"

	"joulewell/calib"
	"joulewell/daq/setup"
	"joulewell/energy"
)

// body is what Newton's second law needs to know of all that hangs.
type body struct {
	apparatus energy.Apparatus
	distance  calib.Distance
	weight    float64 // [N] of bob and spring
	inertia   float64 // [kg] momentum over the bob's velocity, the spring's stretch spread evenly
	neutral   float64 // [m] height at which the bob hangs at rest
	half      float64 // [s] half a swing
	noise     float64 // [m] of one distance
	feel      float64 // [N] noise of one force
	wave      float64 // [N] by which waves in the spring may change the force at its top
	wavy      bool    // waves in the spring hide the bob's velocity from the force
	wander    float64 // [N] by which the force may change while the bob rests
	least     float64 // [N] force less weight from which on a bob at rest must be held
}

const (
	leastHeld = 0.05 // [1] share of the weight that a hand must carry or add to count as holding
	slackPull = 0.02 // [1] share of the weight by which a trembling hand changes the force
	mostWavy  = 0.1  // [1] share of the largest speed up to which a velocity from the force is good
	slackWave = 0.5  // [1] share of the spring's weight by which waves in it change the force
)

func newBody(b *setup.Bench) (*body, error) {
	if err := b.Apparatus.Check(); err != nil {
		return nil, fmt.Errorf("watch bench %s: %w", b.Name, err)
	}
	if err := b.Calibration.Check(); err != nil {
		return nil, fmt.Errorf("watch bench %s: %w", b.Name, err)
	}
	a := b.Apparatus
	bob, spring, rate, g := a.Bob.Mass.Value, a.Spring.Mass.Value, a.Spring.Rate.Value, a.Gravity.Value
	hung := &body{
		apparatus: a,
		distance:  b.Calibration.Distance,
		weight:    (bob + spring) * g,
		inertia:   bob + spring/2,
		neutral:   a.Height(((bob+spring/2)*g - a.Spring.InitialTension.Value) / rate),
		half:      math.Pi * math.Sqrt((bob+spring/3)/rate),
		noise:     b.Calibration.Distance.Noise,
		feel:      b.Calibration.Force.Noise,
	}
	hung.wave = slackWave * spring * g
	fastest := hung.weight / hung.inertia * hung.half / math.Pi
	hung.wavy = hung.unsure(1e-9*pace) > mostWavy*fastest
	hung.wander = slackPull*hung.weight + hung.wave + 6*hung.feel
	hung.least = max(leastHeld*hung.weight, 6*hung.feel)
	return hung, nil
}

// unsure is the standard uncertainty [m/s] of a velocity from two forces so far apart [s].
func (b *body) unsure(apart float64) float64 {
	return (b.feel + 0.1*b.wave) * math.Sqrt2 / b.apparatus.Spring.Rate.Value / apart
}

// pull is the force at the top less the weight [N] by the spring law, the stretch spread
// evenly: for benches without a load cell.
func (b *body) pull(height float64) float64 {
	s := &b.apparatus.Spring
	return s.InitialTension.Value + s.Rate.Value*b.apparatus.Extension(height) +
		s.Mass.Value*b.apparatus.Gravity.Value/2 - b.weight
}

// place is the way back from [body.pull]: the height [m] for a force less weight.
func (b *body) place(pull float64) float64 {
	return b.neutral - (pull-b.pull(b.neutral))/b.apparatus.Spring.Rate.Value
}

func seconds(t int64) float64 { return float64(t) * 1e-9 }

func nanoseconds(s float64) int64 { return int64(math.Round(s * 1e9)) }

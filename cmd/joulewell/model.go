package main

import (
	"fmt"
	"math"
	"math/rand/v2"

	"github.com/spf13/cobra"

	"joulewell/daq/analysis"
	"joulewell/daq/setup"
	"joulewell/energy/loss"
	"joulewell/energy/quantity"
)

// model says of a run what its file does not: what the air meets, from where energies
// count, how a loss gets its uncertainty.
type model struct {
	diameter float64 // [mm]
	shape    string

	reference string
	method    string
	seed      uint64

	command *cobra.Command // that was asked
}

// shapes of a bob that the air meets.
var shapes = map[string]func() loss.Range{"cylinder": loss.CylinderAlong, "ball": loss.Sphere}

// add gives c the options of m.
func (m *model) add(c *cobra.Command) {
	*m = model{shape: "cylinder", reference: "floor", method: "linear", seed: 1, command: c}
	c.Flags().Float64Var(&m.diameter, "bob-diameter", 0, "diameter of the bob in `mm`, for the bounds of air drag")
	c.Flags().StringVar(&m.shape, "bob-shape", m.shape, "shape that meets the air: cylinder (along its axis) or ball")
	c.Flags().StringVar(&m.reference, "reference", m.reference, "from where gravitational energy counts: floor, rest (where the bob hangs at rest)\nor a height as in 350mm")
	c.Flags().StringVar(&m.method, "method", m.method, "of getting the uncertainty of losses: linear, or montecarlo beside it")
	c.Flags().Uint64Var(&m.seed, "seed", m.seed, "of the random numbers for montecarlo")
}

// check refuses options that cannot be meant, whatever the bench.
func (m *model) check() error {
	sized := m.command.Flags().Changed("bob-diameter")
	_, ok := shapes[m.shape]
	switch {
	case m.method != "linear" && m.method != "montecarlo":
		return usageError{fmt.Errorf("--method %s: must be linear or montecarlo", m.method)}
	case !ok:
		return usageError{fmt.Errorf("--bob-shape %s: must be cylinder or ball", m.shape)}
	case sized && !(m.diameter > 0 && m.diameter <= 1000):
		return usageError{fmt.Errorf("--bob-diameter %g: must lie above 0 and not above 1000 mm", m.diameter)}
	}
	_, err := m.level(&setup.Bench{})
	return err
}

// on returns the options on a bench, after [model.check].
func (m *model) on(b *setup.Bench) (analysis.Options, error) {
	var o analysis.Options
	if m.diameter > 0 {
		area := math.Pi / 4 * m.diameter * m.diameter * 1e-6
		o.Drag = &loss.Drag{Area: area, Coefficient: shapes[m.shape](), Air: loss.RoomAir()}
	}
	if m.method == "montecarlo" {
		o.Source = rand.NewPCG(m.seed, 0)
	}
	var err error
	o.Reference, err = m.level(b)
	return o, err
}

// level is the reference height [m] on a bench.
func (m *model) level(b *setup.Bench) (float64, error) {
	switch m.reference {
	case "floor":
		return 0, nil
	case "rest":
		return b.Apparatus.Height(b.Apparatus.Equilibrium()), nil
	}
	q, err := quantity.Parse(m.reference, quantity.Length)
	if err != nil {
		return 0, usageError{fmt.Errorf("--reference: floor, rest, or a height: %w", err)}
	}
	return q.Value, nil
}

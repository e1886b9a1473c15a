package analysis

import (
	"math"
	"testing"

	"joulewell/daq/virtual"
	"joulewell/energy"
	"joulewell/energy/loss"
)

// The total energy of a lossless bench is flat over the cycle: good sensors, a light
// spring, a bench that is known exactly. Many cycles and seeds are laid over each other,
// so that noise drops out and what is left is what the estimator does.
func TestLosslessEnergyIsFlat(t *testing.T) {
	const phases = 32
	var sum, square, n [phases]float64
	var exchanged float64
	for seed := range uint64(benches(8)) {
		c := virtual.Quiet(100)
		c.Seed, c.Losses, c.Hand.Period, c.Spring.Coils, c.Spring.Mass = 60+seed, virtual.Losses{}, 0, coils, 0.005
		r, b, rig := record(t, c, 24)
		run, err := Analyse(r, b, Options{})
		if err != nil {
			t.Fatal(err)
		}
		s := &run.Swings[0]
		start := rig.At(0)
		truth := start.Mechanical() - constant(&c)
		weight := c.Bob.Mass * c.Gravity
		exchanged = 2 * weight * weight / c.Spring.Rate
		for i := range s.States {
			if p := &s.States[i]; p.Known && p.T > c.Hand.Hold+0.3 {
				turns := (p.T - s.Record[1].T.Value) / s.Period.Value
				k := int((turns - math.Floor(turns)) * phases)
				off := p.Energies.Total.Value - truth
				sum[k], square[k], n[k] = sum[k]+off, square[k]+off*off, n[k]+1
			}
		}
	}
	var low, high, noise float64
	for k := range phases {
		mean := sum[k] / n[k] / exchanged
		low, high = min(low, mean), max(high, mean)
		noise = max(noise, math.Sqrt(square[k]/n[k]/n[k])/exchanged)
	}
	t.Logf("total energy over the cycle: %.3f to %+.3f %% of the exchanged energy about the truth, noise left in each %.3f %%", 100*low, 100*high, 100*noise)
	if high-low > 0.003+2*noise {
		t.Errorf("a ripple of %.3f %% of the exchanged energy, at most 0.3 %% wanted", 100*(high-low))
	}
}

// Coils that close at the top of the swing throw energy into waves along the spring. It
// has gone from the swing for good, so the books show it as lost, and a note says how that
// can be where nothing rubs.
func TestCoilsThatClose(t *testing.T) {
	c := virtual.Quiet(200)
	c.Losses, c.Hand.Period, c.Spring.Coils = virtual.Losses{}, 0, coils
	c.Spring.Mass = 0.1 * c.Bob.Mass
	for _, tension := range []float64{0, 0.2} {
		c.Spring.InitialTension = tension * c.Bob.Mass * c.Gravity
		r, b, rig := record(t, c, 14)
		run, err := Analyse(r, b, Options{})
		if err != nil {
			t.Fatal(err)
		}
		s := &run.Swings[0]
		all := truths(s, rig)
		model, err := energy.NewModel(b.Apparatus, 0)
		if err != nil {
			t.Fatal(err)
		}
		gone := model.Potential(all[0].Height) - model.Potential(all[loss.LastAlike(s.Record)].Height)
		t.Logf("initial tension %.2f of the bob's weight: %.2f mJ gone, by the books %.2f mJ, u %.2f", tension, 1e3*gone, -1e3*s.Whole.Change.Value, 1e3*s.Whole.Change.U)
		near(t, "gone from the swing [J]", -s.Whole.Change.Value, gone, 3*s.Whole.Change.U)
		if said := has(s.Notes, "coils close at the top"); said != (tension > 0) {
			t.Errorf("initial tension %g: said so: %t, %q", tension, said, s.Notes)
		}
	}
}

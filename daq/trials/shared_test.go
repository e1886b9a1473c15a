package trials_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"joulewell/daq/trials"
	"joulewell/daq/virtual"
)

// What trials share and what is new with each make up the whole uncertainty, and what
// they share follows the inputs: the rate shown by a period knows the masses, the
// amplitude the ranger's scale, the loss of a fall all of them.
func TestRowSaysWhatItShares(t *testing.T) {
	c := virtual.Default()
	c.Spring.Coils, c.Seed = coils, 3
	trial := judged(t, c)
	if trial == nil {
		t.Fatal("no release seen")
	}
	row := &trial.Row
	for _, key := range []string{trials.KeyFirstLoss, trials.KeyCycleLoss, trials.KeyAmplitude, trials.KeyPeriod, trials.KeySwung, trials.KeyStart, trials.KeyRate} {
		e, shared := row.Quantity(key), 0.0
		if e == nil {
			t.Fatalf("%s is not known", key)
		}
		effects, known := row.Shared[key]
		seen := map[string]bool{}
		for _, s := range effects {
			if seen[s.Source] {
				t.Errorf("%s names %q twice", key, s.Source)
			}
			seen[s.Source] = true
			shared = math.Hypot(shared, s.By)
		}
		t.Logf("%s = %g, u %g, of which shared %g by %d inputs", key, e.Value, e.U, shared, len(effects))
		if !known || shared > e.U*(1+1e-9) || key == trials.KeyPeriod != (shared == 0) {
			t.Errorf("%s: shared %g of u %g", key, shared, e.U)
		}
	}
	for _, whose := range []string{"support height at Tamar: ", "bob length of brass bob: ", "natural length of spring S-4: ", "offset of the distance at Tamar, calibrated ", "local gravity: "} {
		if !slices.ContainsFunc(row.Shared[trials.KeyFirstLoss], func(e trials.Effect) bool { return strings.HasPrefix(e.Source, whose) && e.By != 0 }) {
			t.Errorf("the loss has no %q in %+v", whose, row.Shared[trials.KeyFirstLoss])
		}
	}
	b := virtual.Setup(c)
	rate, want := row.Rate.Value, b.Apparatus.Spring.Rate.Value
	if math.Abs(rate/want-1) > 0.02 {
		t.Errorf("the period shows a rate of %g N/m, the spring has %g", rate, want)
	}
	if none := row.Quantity("nothing"); none != nil {
		t.Errorf("a quantity of no name is %v", none)
	}
}

// The scatter of trials on one bench is what rows call their own; what they share moves
// them together: with the calibration off by what it states, all losses are off alike.
func TestSharedIsShared(t *testing.T) {
	var own, shared float64
	var losses []float64
	for seed := range uint64(6) {
		c := virtual.Default()
		c.Spring.Coils, c.Seed = coils, 100+seed
		trial := judged(t, c)
		if trial == nil || trial.Row.FirstLoss == nil {
			t.Fatalf("seed %d: no trial", seed)
		}
		sum := 0.0
		for _, e := range trial.Row.Shared[trials.KeyFirstLoss] {
			sum += e.By * e.By
		}
		u := trial.Row.FirstLoss.U
		own += math.Sqrt(u*u-sum) / 6
		shared += math.Sqrt(sum) / 6
		losses = append(losses, trial.Row.FirstLoss.Value)
	}
	mean, sd := 0.0, 0.0
	for _, v := range losses {
		mean += v / 6
	}
	for _, v := range losses {
		sd += (v - mean) * (v - mean) / 5
	}
	sd = math.Sqrt(sd)
	t.Logf("first fall: own %.3g, shared %.3g, scatter of six trials %.3g J", own, shared, sd)
	if sd > 2*own || sd < own/2 {
		t.Errorf("six trials scatter by %g J, their own part is %g", sd, own)
	}
}

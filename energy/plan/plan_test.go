package plan

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"joulewell/energy"
	"joulewell/energy/quantity"
)

func reads(t *testing.T, kind quantity.Kind, text string) quantity.Quantity {
	t.Helper()
	q, err := quantity.Parse(text, kind)
	if err != nil {
		t.Fatal(err)
	}
	return q
}

// sharp is a quantity that is known so well that only the formulas matter.
func sharp(kind quantity.Kind, value float64) quantity.Quantity {
	return quantity.Known(kind, energy.Estimate{Value: value, U: 1e-9 * (math.Abs(value) + 1e-3)})
}

// heavy is 60 g of spring under 250 g, at standard gravity.
func heavy() Drop {
	var d Drop
	d.Bench.BobMass, d.Bench.BobLength = sharp(quantity.Mass, 0.25), sharp(quantity.Length, 0.06)
	d.Bench.SpringMass, d.Bench.NaturalLength = sharp(quantity.Mass, 0.06), sharp(quantity.Length, 0.15)
	d.Bench.Rate, d.Bench.Gravity = sharp(quantity.Rate, 25), sharp(quantity.Acceleration, 9.80665)
	return d
}

func make1(t *testing.T, d Drop) *Plan {
	t.Helper()
	p, err := Make(d)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Self-stretch 0.01176798 m, at rest 0.10983448 m, lumped fall 2 M g/k = 0.196133 m:
// textbook statics of a heavy spring, recomputed outside this project. What waves in
// the coils may take off the fall is half its bound here.
func TestFallOfAHeavySpring(t *testing.T) {
	d := heavy()
	p := make1(t, d)
	waves := p.Inputs[atTurnWaves].Value
	near(t, "fall", p.Fall.Value+waves, 0.196133, 5e-10)
	near(t, "extension", p.Extension.Value+waves, 0.01176798+0.196133, 5e-9)
	near(t, "support", p.Support.Value+waves, 0.15+0.06+0.01176798+0.196133, 5e-9)
	near(t, "start", p.Start.Value+waves, 0.196133, 5e-9)
	d.Clearance = 0.03
	near(t, "support with clearance", make1(t, d).Support.Value, p.Support.Value+0.03, 1e-12)
}

// w = x sqrt(k/m_s) with x tan x = m_s/M; x for a quarter from 40 digits outside this
// project.
func TestPeriod(t *testing.T) {
	d := heavy()
	d.Bench.SpringMass = sharp(quantity.Mass, 0.0625)
	near(t, "period", make1(t, d).Period.Value, 2*math.Pi/(0.480094436957391*math.Sqrt(25/0.0625)), 1e-12)
}

// The fall over 2 M g/k, and the share of energy that seems to be missing at the lowest
// point: travelling waves in a uniform spring, worked out at 40 digits outside this
// project, agreeing there with a chain of 400 beads.
func TestFallAgainstTravellingWaves(t *testing.T) {
	for _, c := range []struct{ ratio, fall float64 }{
		{0.01, 0.999998952}, {0.02, 0.999993712}, {0.05, 0.999954125}, {0.1, 0.999810822},
		{0.2, 0.999717493}, {0.25, 0.999758021}, {0.3, 0.998433649}, {0.4, 0.998610327},
		{0.5, 0.999690794}, {0.75, 0.994068621}, {1, 0.987040519}, {2, 0.987929243},
	} {
		d := heavy()
		d.Bench.SpringMass = sharp(quantity.Mass, 0.25*c.ratio)
		p := make1(t, d)
		waves := p.Inputs[atTurnWaves]
		low, high := p.Fall.Value-math.Sqrt(3)*waves.U, p.Fall.Value+math.Sqrt(3)*waves.U
		if truth := c.fall * 0.196133; !(truth > low-1e-9 && truth < high) {
			t.Errorf("mass ratio %g: the bob falls %.7f m, planned %.7f to %.7f", c.ratio, truth, low, high)
		}
	}
}

// Everything at once against a chain of beads that knows nothing of our formulas.
func TestPlanAgainstChain(t *testing.T) {
	for _, c := range []struct{ mass, tension float64 }{{0.02, 0}, {0.1, 0}, {0.06, 0.2}, {0.06, 0.5}, {0.02, 1}} {
		t.Run(fmt.Sprintf("spring %g kg, tension %g N", c.mass, c.tension), func(t *testing.T) {
			d := heavy()
			d.Bench.SpringMass = sharp(quantity.Mass, c.mass)
			if c.tension > 0 {
				d.Bench.InitialTension = sharp(quantity.Force, c.tension)
			}
			p := make1(t, d)
			w := newChain(40, 0.25, c.mass, 25, c.tension, 9.80665).swing(6)
			for _, q := range []struct {
				name string
				Forecast
				seen float64
			}{{"extension", p.Extension, w.lowest}, {"speed", p.Speed, w.fastest}, {"force", p.Force, w.force}} {
				if !(math.Abs(q.Value-q.seen) <= q.Expanded) {
					t.Errorf("%s: planned %g ± %g, the chain shows %g", q.name, q.Value, q.Expanded, q.seen)
				}
			}
			if c.tension == 0 {
				near(t, "period", p.Period.Value, w.period, 2e-4*w.period)
			}
		})
	}
}

// A coil opens only where it carries more than the initial tension: self-stretch
// 0.005127601617303904 m at 0.2 N and 0 above the spring's own weight (own derivation,
// exact rationals). From there to the lowest point the coils take up what the weights
// give: summed here over 100 000 coils, each in its own equilibrium.
func TestFallWithInitialTension(t *testing.T) {
	const w, k, weight, coils = 0.06 * 9.80665, 25.0, 0.25 * 9.80665, 100_000
	potential := func(load, tension float64) (extension, energy float64) {
		depth := 0.0
		for i := range coils {
			pull := load + w*(1-(float64(i)+0.5)/coils)
			stretch := max(pull-tension, 0) / k / coils
			depth += stretch
			energy += tension*stretch + coils*k*stretch*stretch/2 - w/coils*(depth-stretch/2)
		}
		return depth, energy - weight*depth
	}
	for _, c := range []struct{ tension, self float64 }{
		{0.2, 0.005127601617303904}, {0.5, 0.000265615108149402}, {0.7, 0}, {1.5, 0},
	} {
		d := heavy()
		d.Bench.InitialTension = sharp(quantity.Force, c.tension)
		p := make1(t, d)
		waves := p.Inputs[atTurnWaves].Value
		lowest := p.Extension.Value + waves
		near(t, "self-stretch", lowest-p.Fall.Value-waves, c.self, 1e-9)
		_, before := potential(0, c.tension)
		x, after := potential(k*lowest+c.tension-w/2, c.tension)
		near(t, "extension of the coils", x, lowest, 1e-9)
		near(t, "balance of energies", after, before, 2e-9)
	}
}

// With an amplitude ratio r per half cycle the fall is (1 + r)/2 of that without loss.
func TestAmplitudeRatio(t *testing.T) {
	d := heavy()
	whole := make1(t, d)
	d.Ratio = reads(t, quantity.Ratio, "0.96")
	p := make1(t, d)
	waves := p.Inputs[atTurnWaves].Value
	near(t, "fall", p.Fall.Value+waves, 0.98*(whole.Fall.Value+waves), 1e-9)
	near(t, "its uncertainty", p.Fall.U, math.Hypot(0.01/math.Sqrt(12)*0.0980665, p.Inputs[atTurnWaves].U), 1e-8)
}

// A release from a stated extension: the fall is twice the way to rest, 0.10983448 m.
func TestReleaseFromAnExtension(t *testing.T) {
	d := heavy()
	d.Release = sharp(quantity.Length, 0.05)
	p := make1(t, d)
	near(t, "fall", p.Fall.Value+p.Inputs[atTurnWaves].Value, 2*(0.10983448-0.05), 5e-9)
	near(t, "speed", p.Speed.Value, (0.10983448-0.05)*math.Sqrt(25/0.27), 5e-9)
	d.Release = reads(t, quantity.Length, "11cm")
	_, err := Make(d)
	wants(t, err, "it would rise")
}

// The height's uncertainty by hand: H = L0 + l_b + (2 M + m_s/2) g/k, each reading to
// its last digit.
func TestUncertaintyOfTheHeight(t *testing.T) {
	d := heavy()
	d.Bench.BobMass = reads(t, quantity.Mass, "250g")
	d.Bench.NaturalLength = reads(t, quantity.Length, "15.0cm")
	d.Bench.BobLength = reads(t, quantity.Length, "6cm")
	d.Bench.Rate = reads(t, quantity.Rate, "25.0N/m +- 1%")
	p := make1(t, d)
	fall := (2*0.25 + 0.03) * 9.80665 / 25
	sum := 0.0
	for _, c := range []float64{2 * 9.80665 / 25 * 1e-3 / math.Sqrt(12), 1e-3 / math.Sqrt(12), 1e-2 / math.Sqrt(12), fall * 0.01, p.Inputs[atTurnWaves].U} {
		sum += c * c
	}
	near(t, "standard uncertainty", p.Support.U, math.Sqrt(sum), 1e-3*math.Sqrt(sum))
	near(t, "expanded uncertainty", p.Support.Expanded, 1.959964*p.Support.U, 1e-6)
	if first := p.Support.Budget.Inputs[0].Name; first != "bob length" {
		t.Errorf("largest contribution is %s, want bob length", first)
	}
}

// A rule that is off stretches what the physics gives, not what it read itself.
func TestRule(t *testing.T) {
	d := heavy()
	d.Bench.Rule = reads(t, quantity.Ratio, "1 +- 1%")
	p := make1(t, d)
	near(t, "uncertainty of the height", p.Support.U, math.Hypot(0.01*p.Extension.Value, p.Inputs[atTurnWaves].U), 1e-6)
}

func TestTrialMovesTheSupport(t *testing.T) {
	d := heavy()
	d.Clearance = 0.04
	d.Bench.Support = reads(t, quantity.Length, "50.0cm")
	p := make1(t, d)
	near(t, "clearance", p.Clearance.Value, 0.5-(p.Support.Value-0.04), 1e-12)
	near(t, "raise by the readings", p.Move.Raise.Value, p.Support.Value-0.5, 1e-12)
	if p.Move.FromTrial || p.Move.Agreement() != "" {
		t.Errorf("no trial was made, yet: %+v", p.Move)
	}
	d.Trial = reads(t, quantity.Length, "9mm +- 3mm")
	p = make1(t, d)
	if !p.Move.Contradicted() {
		t.Error("a bob far below where the readings let it turn does not contradict them")
	}
	near(t, "raise by the trial", p.Move.Raise.Value, 0.031, 1e-12)
	near(t, "its uncertainty", p.Move.Raise.Expanded, 1.959964*0.003, 1e-8)
	if got := p.Move.String(); got != "raise the support by 31.0 mm ± 5.9 mm" {
		t.Errorf("move: %s", got)
	}
	if !strings.Contains(p.Move.Agreement(), "lower than worked out: a reading must be off: look at") {
		t.Errorf("agreement: %s", p.Move.Agreement())
	}
	d.Trial = sharp(quantity.Length, p.Clearance.Value+0.002)
	p = make1(t, d)
	if p.Move.Contradicted() { // 3 % of the amplitude may well be lost
		t.Errorf("contradicted: %s", p.Move.Agreement())
	}
	if !strings.Contains(p.Move.String(), "lower the support") || !strings.Contains(p.Move.Agreement(), "amplitude ratio of 0.97") {
		t.Errorf("move: %s; %s", p.Move, p.Move.Agreement())
	}
	waves := 2 * p.Inputs[atTurnWaves].Value // the plan expects half of it, and half remains in doubt
	near(t, "ratio", p.Move.Ratio.Value, 1-0.002/0.0980665, waves)
	d.Trial = sharp(quantity.Length, p.Clearance.Value+0.15)
	if got := make1(t, d).Move.Agreement(); !strings.Contains(got, "above where it should hang") {
		t.Errorf("agreement: %s", got)
	}
	d.Trial, d.Bench.Support = reads(t, quantity.Length, "9mm +- 3mm"), quantity.Quantity{}
	if p = make1(t, d); p.Move == nil || p.Move.Off != nil || p.Clearance != nil {
		t.Errorf("trial without the support's height: %+v", p.Move)
	}
}

func TestCautions(t *testing.T) {
	d := heavy()
	d.Clearance = 0.05
	if p := make1(t, d); len(p.Cautions) != 0 || p.Safe != leastClearance {
		t.Errorf("a careful plan warns: %q, safe clearance %g", p.Cautions, p.Safe)
	}
	d.Bench.Support = sharp(quantity.Length, 0.4)
	d.SafeExtension, d.Capacity, d.Clearance = 0.2, 5, 0.01
	p := make1(t, d)
	all := strings.Join(p.Cautions, "\n")
	for _, want := range []string{"may strike the floor", "pad the floor", "where it is now", "spring may be spoiled", "load cell may be spoiled"} {
		if !strings.Contains(all, want) {
			t.Errorf("no caution says %q: %s", want, all)
		}
	}
	d = heavy()
	d.Clearance = 0.05
	d.Bench.Rate = reads(t, quantity.Rate, "25N/m +- 10%") // 0.021 m of extension, so 0.054 m at 99 %
	if p := make1(t, d); len(p.Cautions) != 1 || p.Safe <= 0.05 || p.Safe > 0.06 {
		t.Errorf("safe clearance %g, %q", p.Safe, p.Cautions)
	}
}

func TestRefusals(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*Drop)
		want   string
	}{
		{"missing", func(d *Drop) { d.Bench.BobMass = quantity.Quantity{} }, "bob mass is missing"},
		{"exact", func(d *Drop) { d.Bench.Rate.U = 0 }, "uncertainty of spring rate is zero"},
		{"negative", func(d *Drop) { d.Bench.BobLength.Value = -0.01 }, "bob length = -0.01 m: must be positive"},
		{"closed", func(d *Drop) { d.Bench.InitialTension = sharp(quantity.Force, 3) }, "take a heavier bob"},
		{"clearance", func(d *Drop) { d.Clearance = -0.01 }, "clearance -0.01 m"},
		{"not a number", func(d *Drop) { d.Clearance = math.NaN() }, "clearance NaN m"},
		{"grows", func(d *Drop) { d.Ratio = sharp(quantity.Ratio, 1.1) }, "no swing grows by itself"},
		{"struck", func(d *Drop) { d.Trial = quantity.Quantity{How: quantity.Stated} }, "struck the floor"},
		{"heavy spring", func(d *Drop) { d.Bench.SpringMass = sharp(quantity.Mass, 0.7) }, "times as heavy as the bob"},
		{"elsewhere", func(d *Drop) { d.Bench.Gravity = sharp(quantity.Acceleration, 1.62) }, "gravity = 1.62"},
		{"release", func(d *Drop) { d.Release = sharp(quantity.Length, -0.1) }, "release extension -0.1 m"},
		{"soft", func(d *Drop) { d.Bench.Rate = sharp(quantity.Rate, 0.01) }, "the support would have to be 519"},
		{"wild", func(d *Drop) { d.Bench.BobMass.U = 1e5 }, "bob mass at"},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := heavy()
			c.change(&d)
			_, err := Make(d)
			wants(t, err, c.want)
		})
	}
}

func wants(t *testing.T, err error, want string) {
	t.Helper()
	if err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("got %v, want a refusal saying %q", err, want)
	}
}

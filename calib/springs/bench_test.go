package springs

import (
	"fmt"
	"math"
	"math/rand/v2"

	"joulewell/calib/fit"
	"joulewell/calib/masses"
	"joulewell/energy"
)

// bench is a simulated spring with its check masses, rule, load cell, distance sensor and
// stopwatch: what is true, and what the people there know.
type bench struct {
	rate, tension float64 // [N/m], [N] true
	springMass    float64 // [kg] true
	natural       float64 // [m] true
	keeps         float64 // [N] between stretching and letting back, at most
	rng           *rand.Rand

	known, truth masses.Set
	spring       energy.Estimate // [kg] as weighed
	length       energy.Estimate // [m] natural, as read
	rule         float64         // [1] true metres in a metre of the rule
}

const (
	uRule   = 3e-4
	reading = 1e-3 / 3.4641016151377544 // [m] to the nearest millimetre
)

func newBench(seed uint64) *bench {
	b := &bench{rate: 25, tension: 0.2, springMass: 0.06, natural: 0.18, keeps: 0.01, rng: rand.New(rand.NewPCG(5, seed))}
	const g, ug, air, uair = 9.8127, 5e-4, 1.19, 0.01
	b.known = masses.Set{
		Gravity: energy.Estimate{Value: g + ug*b.rng.NormFloat64(), U: ug},
		Air:     energy.Estimate{Value: air + uair*b.rng.NormFloat64(), U: uair},
	}
	b.truth = masses.Set{Gravity: energy.Estimate{Value: g, U: ug}, Air: energy.Estimate{Value: air, U: uair}}
	reference := b.rng.NormFloat64()
	for i := range 8 {
		p := masses.Piece{Name: fmt.Sprintf("no. %d", i+1), Conventional: true,
			Mass: energy.Estimate{Value: 0.05, U: 5e-5}, Density: energy.Estimate{Value: 8400, U: 85}}
		deviation := b.rng.NormFloat64()
		if i > 4 {
			p.Reference, deviation = "R", reference
		}
		b.known.Pieces = append(b.known.Pieces, p)
		p.Mass.Value += p.Mass.U * deviation
		b.truth.Pieces = append(b.truth.Pieces, p)
	}
	b.spring = energy.Estimate{Value: b.springMass + 5e-5*b.rng.NormFloat64(), U: 5e-5}
	b.rule = 1 + uRule*b.rng.NormFloat64()
	const times = 4 // the rule moved each time
	for range times {
		b.length.Value += b.read(b.natural).Value / times
	}
	b.length.U = b.read(b.natural).U / 2
	return b
}

// read is a length by the rule, put anywhere and read to the nearest millimetre, with the
// eye's own spread.
func (b *bench) read(length float64) energy.Estimate {
	const eye = 2e-4
	start := 1e-3 * b.rng.Float64()
	return energy.Estimate{Value: math.Round(1e3*(start+length/b.rule+eye*b.rng.NormFloat64()))/1e3 - start, U: math.Hypot(reading, eye)}
}

// load names the first n pieces.
func (b *bench) load(n int) []string {
	var names []string
	for _, p := range b.known.Pieces[:n] {
		names = append(names, p.Name)
	}
	return names
}

// hangs is the true extension [m] under the first n pieces.
func (b *bench) hangs(n int) float64 {
	f, _ := b.truth.Force(b.load(n))
	g := b.truth.Gravity.Value
	a := energy.Apparatus{Spring: energy.Spring{Mass: energy.Estimate{Value: b.springMass}, Rate: energy.Estimate{Value: b.rate}, InitialTension: energy.Estimate{Value: b.tension}},
		Bob: energy.Bob{Mass: energy.Estimate{Value: f / g}}, Gravity: energy.Estimate{Value: g}}
	return a.Equilibrium()
}

func (b *bench) hanging() Hanging {
	h := Hanging{Masses: b.known, SpringMass: b.spring, Natural: b.length, Rule: uRule}
	for i := range 15 {
		n := 8 - int(math.Abs(float64(i-7))) // 1 .. 8 .. 1
		h.Readings = append(h.Readings, Hung{Load: b.load(n), Length: b.read(b.natural + b.hangs(n))})
	}
	return h
}

// unloaded puts the spring by itself first.
func (h Hanging) unloaded(b *bench) Hanging {
	h.Readings = append([]Hung{{Length: b.read(b.natural + b.hangs(0))}}, h.Readings...)
	return h
}

// pull draws the spring from 30 mm to 180 mm and back in 20 s.
func (b *bench) pull() Pull {
	const uForce, uZero, uScale, uOffset = 3e-4, 2e-3, 1e-3, 4e-4
	force := 1 - uForce*b.rng.NormFloat64() // stated over true
	zero, scale, offset := uZero*b.rng.NormFloat64(), 1+uScale*b.rng.NormFloat64(), uOffset*b.rng.NormFloat64()
	gravity := b.known.Gravity.Value / b.truth.Gravity.Value // masses calibrated the cell
	weight := b.springMass * b.truth.Gravity.Value
	p := Pull{SpringMass: b.spring, Gravity: b.known.Gravity,
		ForceScale: []fit.Source{{Name: "readings of the force calibration", Effects: []float64{uForce}},
			{Name: "gravity", Effects: []float64{b.known.Gravity.U / b.known.Gravity.Value}}},
		ForceZero:      []fit.Source{{Name: "zero of the force", Effects: []float64{uZero}}},
		ExtensionScale: []fit.Source{{Name: "readings of the distance calibration", Effects: []float64{uScale}}},
		ExtensionZero: []fit.Source{{Name: "natural length", Effects: []float64{-b.length.U}}, {Name: ruleInput, Effects: []float64{-uRule * b.natural}},
			{Name: "readings of the distance calibration", Effects: []float64{uScale * b.natural}}, // it acts on the whole length
			{Name: "offset of the distance", Effects: []float64{uOffset}}},
	}
	for i := range 800 {
		phase := float64(i) / 800
		course, way := 1.0, 2*phase
		if phase > 0.5 {
			course, way = -1, 2-2*phase
		}
		x := 0.03 + 0.15*way
		kept := course * b.keeps * 2 * way * (1 - way)
		pull := b.tension + b.rate*x - weight/2 + kept // on what hangs below
		p.Points = append(p.Points, Drawn{
			Extension: (x+b.natural)*scale + offset - b.length.Value + 5e-4*b.rng.NormFloat64(),
			Force:     (pull+weight)*force*gravity + zero + 2e-3*b.rng.NormFloat64(),
		})
	}
	return p
}

func (b *bench) swings() Swings {
	s := Swings{Masses: b.known, SpringMass: b.spring}
	for _, n := range []int{4, 5, 6, 8} {
		bob, _ := b.truth.Mass(b.load(n))
		// x tan x = m_s/M by halving, nothing of the code under test.
		low, high := 0.0, math.Pi/2
		for range 80 {
			if x := (low + high) / 2; x*math.Tan(x) < b.springMass/bob {
				low = x
			} else {
				high = x
			}
		}
		omega := low * math.Sqrt(b.rate/b.springMass)
		u := 3e-4
		s.Swings = append(s.Swings, Swing{Load: b.load(n), Period: energy.Estimate{Value: 2*math.Pi/omega + u*b.rng.NormFloat64(), U: u}})
	}
	return s
}

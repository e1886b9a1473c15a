package analysis

import (
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"joulewell/calib"
	"joulewell/daq/setup"
	"joulewell/daq/virtual"
)

// way is how a bench loses energy.
type way string

const (
	nowhere   way = "no loss"
	viscous   way = "viscous"
	sliding   way = "sliding"
	quadratic way = "quadratic"
	inSpring  way = "in the spring"
)

var ways = [...]way{nowhere, viscous, sliding, quadratic, inSpring}

// bench is a bench drawn at random, and what people know of it: wrong by a draw from
// what they state, in every quantity.
type bench struct {
	virtual.Config
	seed   uint64
	kind   sensors
	way    way
	share  float64 // [1] of the swing's energy that the first cycle takes
	humid  float64 // [1] by which sound in damp air is faster than the tool believes
	fall   float64 // [m] thereabouts
	period float64 // [s] thereabouts
}

// sensors of a bench.
type sensors int

const (
	cheap sensors = iota // an echo 20 to 40 times a second, 1 to 3 mm of noise
	good                 // 0.5 mm, 100 a second
	dense                // 0.5 mm, 1000 a second
	kinds
)

// draw returns a bench by its seed. Spring, bob and drop are those of [virtual.Random].
func draw(seed uint64) *bench {
	b := &bench{Config: virtual.Random(seed), seed: seed}
	b.open()
	rng := rand.New(rand.NewPCG(seed, 20261125))
	decade := func(low, high float64) float64 { return low * math.Pow(high/low, rng.Float64()) }
	b.lose(ways[rng.IntN(len(ways))], decade(1e-3, 0.2))
	b.equip(sensors(rng.IntN(int(kinds))), rng)
	b.Load.Noise = decade(5e-4, 1e-2)
	b.Load.Rate, b.Load.Paired = decade(10, 1000), b.Ranger.Optical && rng.IntN(2) == 0
	b.Thermometer.Offset = b.Known.Temperature * rng.NormFloat64()
	b.humid = 0.0019 * (2*rng.Float64() - 1)
	return b
}

// open does away with initial tension, and raises the bench by how much farther the bob
// then falls. For coils that close see TestCoilsThatClose.
func (b *bench) open() {
	farther := 2 * b.Spring.InitialTension / b.Spring.Rate
	b.Support += farther
	b.Ranger.Max += farther
	if b.Ranger.Mounting == calib.Support {
		b.Ranger.Position += farther
	}
	b.Spring.InitialTension, b.Known.InitialTension = 0, 0
}

// lose makes energy go one way, so much of it in the first cycle.
func (b *bench) lose(w way, share float64) {
	s := &b.Spring
	k, moving := s.Rate, b.Bob.Mass+s.Mass/3
	omega := math.Sqrt(k / moving)
	amplitude := b.Bob.Mass * b.Gravity / k
	b.fall, b.period = 2*amplitude, 2*math.Pi/omega
	b.Losses = virtual.Losses{Restitution: b.Losses.Restitution}
	switch b.way, b.share = w, share; w {
	case nowhere:
		b.share = 0
	case viscous:
		b.Losses.Viscous = share * k / (2 * math.Pi * omega)
	case sliding:
		b.Losses.Sliding = share * k * amplitude / 8
	case quadratic:
		b.Losses.Quadratic = 3 * share * k / (16 * omega * omega * amplitude)
	case inSpring:
		b.Losses.Internal = share * k / (2 * math.Pi * omega)
	}
}

// equip gives the bench its ranger.
func (b *bench) equip(kind sensors, rng *rand.Rand) {
	b.kind = kind
	r := &b.Ranger
	r.Optical, r.Resolution, r.Noise = true, 1e-5, 5e-4
	r.Lost, r.Outliers = 0.005*rng.Float64(), 0.002*rng.Float64()
	switch kind {
	case cheap:
		r.Optical, r.Noise = false, 1e-3+2e-3*rng.Float64()
		r.Rate = min(20+20*rng.Float64(), 140/r.Max)
		r.Lost, r.Outliers = 0.02*rng.Float64(), 0.01*rng.Float64()
	case good:
		r.Rate = 100
	case dense:
		r.Rate = 1000
	}
}

func (b *bench) ratio() float64 { return b.Spring.Mass / b.Bob.Mass }
func (b *bench) heavy() bool    { return b.ratio() > 0.1 }
func (b *bench) cheap() bool    { return !b.Ranger.Optical }

// columns of a table of benches, and which of them a bench stands in.
var columns = [...]string{"all", "light", "heavy", "cheap", "good", "fast", "small", "large"}

func (b *bench) columns() [len(columns)]bool {
	fast, small := b.Ranger.Rate > 500, b.fall < 0.35
	return [...]bool{true, !b.heavy(), b.heavy(), b.cheap(), !b.cheap() && !fast, fast, small, !small}
}

// benches returns how many benches to try: so many, or as many as JOULEWELL_BENCHES says.
func benches(quick int) int {
	if n, err := strconv.Atoi(os.Getenv("JOULEWELL_BENCHES")); err == nil && n > 0 {
		return n
	}
	if raced {
		return 4 // the race detector wants paths, not numbers
	}
	return repeats(quick)
}

// known returns what people know of the bench.
func (b *bench) known() *setup.Bench {
	s := virtual.Setup(b.Config)
	if b.cheap() {
		s.Calibration.Distance.Scale.Value /= 1 + b.humid
	}
	return &s
}

// analyse plays so many cycles and works them out.
func (b *bench) analyse(t testing.TB, cycles float64, o Options) (*Run, *virtual.Rig, error) {
	t.Helper()
	b.Spring.Coils, b.Hand.Period = coils, 0
	r, _, rig := record(t, b.Config, b.Hand.Hold+cycles*b.period)
	run, err := Analyse(r, b.known(), o)
	return run, rig, err
}

package motion

import (
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"testing"

	"joulewell/energy"
)

// An oracle is the best local polynomial there is for a record: degree and window are
// chosen with the true velocity in hand. What it reaches is what an estimator that has
// the points only may be measured by. The choice is common to the record, and the
// window reaches no farther than half a second either way.

// bench is one seeded record of a random motion, without false distances and with.
type bench struct {
	path
	rate, noise   float64
	clean, spoilt stream
}

var motions = []func(r *rand.Rand) path{dying, func(*rand.Rand) path { return fall() }, carried, strolling, bent}

// dying is a sinusoid that dies away while its middle drifts.
func dying(r *rand.Rand) path {
	a, w, tau := 0.02+0.10*r.Float64(), 2*math.Pi*(0.4+2*r.Float64()), 2+10*r.Float64()
	drift, phase := 0.05*r.NormFloat64(), 2*math.Pi*r.Float64()
	return path{"dying swing",
		func(t float64) float64 { return 1 + drift*t + a*math.Exp(-t/tau)*math.Sin(w*t+phase) },
		func(t float64) float64 {
			return drift + a*math.Exp(-t/tau)*(w*math.Cos(w*t+phase)-math.Sin(w*t+phase)/tau)
		}}
}

func carried(r *rand.Rand) path {
	v := 0.05 + 0.5*r.Float64()
	return path{"carried by hand", func(t float64) float64 { return 0.3 + v*t }, func(float64) float64 { return v }}
}

func strolling(r *rand.Rand) path { return wander(r.Uint64()) }

// bent is the bob on the stiffening spring, with time running at another pace.
func bent(r *rand.Rand) path {
	p, pace := stiffening(), 0.5+0.7*r.Float64()
	return path{p.name,
		func(t float64) float64 { return p.position(pace * t) },
		func(t float64) float64 { return pace * p.velocity(pace*t) }}
}

func newBench(seed uint64) bench {
	r := rand.New(rand.NewPCG(seed, 40))
	b := bench{path: motions[seed%uint64(len(motions))](r)}
	b.rate = 25 * math.Pow(40, r.Float64())
	b.noise = 0.0003 * math.Pow(10, r.Float64())
	seconds := 3 + 4*r.Float64()*min(1, 100/b.rate)
	if b.name == "free fall" {
		seconds = 1
	}
	jitter, dropped, bad := 0.3*r.Float64(), 0.05*r.Float64(), 0.02+0.03*r.Float64()
	silence := math.Inf(1)
	if r.IntN(2) == 0 {
		silence = seconds * (0.3 + 0.4*r.Float64())
	}
	for i := range int(seconds * b.rate) {
		at := (float64(i) + jitter*r.Float64()) / b.rate
		if at > silence && at < silence+0.2 || r.Float64() < dropped {
			continue
		}
		t := nanoseconds(at)
		x := b.position(float64(t)*1e-9) + b.noise*r.NormFloat64()
		b.clean.times = append(b.clean.times, t)
		b.clean.positions = append(b.clean.positions, x)
	}
	b.spoilt.times = b.clean.times
	b.spoilt.positions = slices.Clone(b.clean.positions)
	b.spoilt.spoil(func(int) bool { return r.Float64() < bad },
		func() float64 { return float64(1-2*r.IntN(2)) * (20*b.noise + 0.3*r.Float64()) })
	return b
}

// deviations are the velocities less the true ones [m/s], one for each point looked
// at, NaN without an answer.
type deviations []float64

func (b *bench) live(t *testing.T, s stream) deviations {
	t.Helper()
	all := make(deviations, len(s.times))
	for i := range all {
		all[i] = math.NaN()
	}
	s.through(t, newLive(t, LiveOptions{Noise: b.noise}), func(i int, _, v energy.Estimate, _ Quality) {
		all[i] = v.Value - b.velocity(float64(s.times[i])*1e-9)
	})
	var d deviations
	for _, i := range spread(len(s.times)) {
		d = append(d, all[i])
	}
	return d
}

func (b *bench) smooth(t *testing.T, s stream) (deviations, *Smoother) {
	t.Helper()
	m, err := NewSmoother(s.times, s.positions, SmoothOptions{})
	if err != nil {
		t.Fatal(err)
	}
	var d deviations
	for _, i := range spread(len(s.times)) {
		_, v, _ := m.At(s.times[i])
		d = append(d, v.Value-b.velocity(float64(s.times[i])*1e-9))
	}
	return d, m
}

// rms returns the root mean square of d where other has an answer too.
func (d deviations) rms(other deviations) float64 {
	sum, n := 0.0, 0
	for i, v := range d {
		if !math.IsNaN(v) && !math.IsNaN(other[i]) {
			sum += v * v
			n++
		}
	}
	return math.Sqrt(sum / float64(n))
}

func (d deviations) absent() (share float64) {
	for _, v := range d {
		if math.IsNaN(v) {
			share += 1 / float64(len(d))
		}
	}
	return share
}

// oracle returns the least root mean square deviation [m/s] of any local polynomial
// whose window reaches at most so far ahead [s], where d has answers, and a word on it.
func (b *bench) oracle(d deviations, ahead float64) (least float64, how string) {
	least = math.Inf(1)
	for degree := 1; degree <= 4; degree++ {
		for half := 3.0 / b.rate; half < 0.5; half *= 1.2 {
			for _, front := range []float64{min(half, ahead), min(half, ahead/2)} {
				if rms := b.local(degree, half, front, least, d); rms < least {
					least, how = rms, fmt.Sprintf("degree %d, %.3f s behind, %.3f s ahead", degree, half, front)
				}
				if half < ahead/2 {
					break
				}
			}
		}
	}
	return least, how
}

// local returns the root mean square deviation of a local polynomial, or gives up
// above the limit. Where the window holds too few points it is widened to as many.
func (b *bench) local(degree int, behind, ahead, limit float64, d deviations) float64 {
	k := b.clean
	var p polynomial
	var s, x []float64
	sum, n := 0.0, 0
	answers := (1 - d.absent()) * float64(len(d))
	for j, i := range spread(len(k.times)) {
		if math.IsNaN(d[j]) {
			continue
		}
		t := k.times[i]
		first, last := upTo(k.times, t-nanoseconds(behind)-1), upTo(k.times, t+nanoseconds(ahead))
		if need := degree + 2; last-first < need {
			first = max(0, last-need)
			last = max(last, first+need)
		}
		s, x = s[:0], x[:0]
		for l := first; l < last; l++ {
			s = append(s, float64(k.times[l]-t)*1e-9/behind)
			x = append(x, k.positions[l]-k.positions[i])
		}
		if !p.fitTo(s, x, degree+1) {
			return math.Inf(1)
		}
		v := p.slope(0)/behind - b.velocity(float64(t)*1e-9)
		sum += v * v
		n++
		if sum > limit*limit*answers*(1+1e-9) {
			return math.Inf(1)
		}
	}
	return math.Sqrt(sum / float64(n))
}

var figureNames = [...]string{"smooth/oracle", "live/oracle", "smooth spoilt/clean", "live spoilt/clean"}

// measure returns ratios of root mean square deviations, in the order of figureNames.
func (b *bench) measure(t *testing.T) (ratios [4]float64) {
	t.Helper()
	smooth, m := b.smooth(t, b.clean)
	live := b.live(t, b.clean)
	smoothSpoilt, _ := b.smooth(t, b.spoilt)
	liveSpoilt := b.live(t, b.spoilt)
	bestSmooth, how := b.oracle(smooth, 0.5)
	bestLive, liveHow := b.oracle(live, MaxLag)
	ratios = [...]float64{
		smooth.rms(smooth) / bestSmooth, live.rms(live) / bestLive,
		smoothSpoilt.rms(smooth) / smooth.rms(smoothSpoilt), liveSpoilt.rms(live) / live.rms(liveSpoilt),
	}
	t.Logf("%-18s %4.0f Hz %.1f mm: %.2f; half width %.3f s, degree %d, %.4f m/s, best %.4f (%s); live %.4f m/s, best %.4f (%s)",
		b.name, b.rate, b.noise*1e3, ratios, m.HalfWidth, m.gate.degree, smooth.rms(smooth), bestSmooth, how,
		live.rms(live), bestLive, liveHow)
	for i, d := range []deviations{smooth, live, smoothSpoilt, liveSpoilt} {
		// Of a fall of one second at few points a second, ends and silence are most.
		if share := d.absent(); share > 0.3 && b.name != "free fall" {
			t.Errorf("%s at %.0f Hz, %s: %.2f of the answers absent", b.name, b.rate, figureNames[i], share)
		}
	}
	return ratios
}

// classes a bench belongs to.
func (b *bench) classes() []string {
	rate, sigma := "rate 80 to 300", "noise below 1 mm"
	switch {
	case b.rate < 80:
		rate = "rate below 80"
	case b.rate > 300:
		rate = "rate above 300"
	}
	if b.noise > 0.001 {
		sigma = "noise above 1 mm"
	}
	return []string{"all", rate, sigma, b.name}
}

// Medians that must not be exceeded, in the order of figureNames. They were set a little above
// what the benches of seeds 0 to 199 gave, and are asserted on others, whose medians are a tenth
// more or less, a third in the quick run of 20 benches. Those above 1.2 are what
// was found and not what is wanted: they tell when it grows worse. Of fewer than 20 benches
// a median tells too little.
const (
	medianOf  = 20
	firstSeed = 1000
)

var medians = map[string][4]float64{
	"all":                {1.2, 1.3, 1.2, 1.1},
	"rate below 80":      {1.2, 1.3, 1.3, 1.5},
	"rate 80 to 300":     {1.2, 1.35, 1.3, 1.2},
	"rate above 300":     {1.3, 1.35, 1.2, 1.1},
	"noise below 1 mm":   {1.2, 1.3, 1.2, 1.1},
	"noise above 1 mm":   {1.2, 1.3, 1.3, 1.2},
	"dying swing":        {1.3, 1.3, 1.5, 1.2},
	"free fall":          {1.5, 1.5, 1.2, 1.1},
	"carried by hand":    {1.2, 1.4, 1.2, 1.1},
	"random smooth path": {1.2, 1.35, 1.3, 1.2},
	"stiffening spring":  {1.2, 1.35, 1.5, 1.1},
}

// Velocities must be near the best that any local polynomial gives. JOULEWELL_BENCHES
// says how many benches to try, 200 at least.
func TestNearOracle(t *testing.T) {
	benches, slack := medianOf, 1.35
	if n, err := strconv.Atoi(os.Getenv("JOULEWELL_BENCHES")); err == nil && n >= 10*medianOf {
		benches, slack = n, 1.1
	}
	classes := map[string]*[4][]float64{}
	for seed := range uint64(benches) {
		b := newBench(firstSeed + seed)
		ratios := b.measure(t)
		for _, class := range b.classes() {
			if classes[class] == nil {
				classes[class] = new([4][]float64)
			}
			for i, v := range ratios {
				classes[class][i] = append(classes[class][i], v)
			}
		}
	}
	for _, class := range slices.Sorted(maps.Keys(classes)) {
		limits, stated := medians[class]
		if !stated {
			t.Errorf("%s: no limits stated", class)
		}
		line := ""
		for i, l := range classes[class] {
			slices.Sort(l)
			median := l[len(l)/2]
			line += fmt.Sprintf(", %s %.2f (90 %%: %.2f)", figureNames[i], median, l[len(l)*9/10])
			if len(l) >= medianOf && !(median <= slack*limits[i]) {
				t.Errorf("%s: median of %s is %.2f, want at most %.2f", class, figureNames[i], median, slack*limits[i])
			}
		}
		t.Logf("%s, %d benches%s", class, len(classes[class][0]), line)
	}
}

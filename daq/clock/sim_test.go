package clock

import (
	"math"
	"math/rand/v2"
)

// schedule says when a simulated device takes its readings: device time from one to
// the next [ns].
type schedule func(r *rand.Rand) float64

func exactly(period float64) schedule { return func(*rand.Rand) float64 { return period } }

func loosely(period float64) schedule {
	return func(r *rand.Rand) float64 { return period * (0.95 + 0.1*r.Float64()) }
}

func atRandom(period float64) schedule {
	return func(r *rand.Rand) float64 { return period * (0.05 + 0.95*r.ExpFloat64()) }
}

// link says when a line that was ready at host time t [ns] arrives.
type link func(r *rand.Rand, t float64) float64

// smooth delays each line by an exponential time of this mean [ns].
func smooth(mean float64) link {
	return func(r *rand.Rand, t float64) float64 { return t + mean*r.ExpFloat64() }
}

// held delivers on a grid [ns], and then wakes the reader.
func held(grid, wake float64) link {
	return func(r *rand.Rand, t float64) float64 { return math.Ceil(t/grid)*grid + wake*r.ExpFloat64() }
}

// sim is a device on a link to a host. Its bench runs in true host time.
type sim struct {
	r        *rand.Rand
	schedule schedule
	link     link
	ppm      float64 // [ppm] of the device clock
	bursts   float64 // [1/s] at which the host is busy for up to 500 ms

	us      int64   // [us] device time of the reading, without wraps
	host    float64 // [ns] host time of the same instant
	busy    float64 // [ns] until when the host reads nothing
	arrival int64   // [ns] of the reading
}

func newSim(seed uint64, ppm float64, s schedule, l link) *sim {
	r := rand.New(rand.NewPCG(seed, 0))
	return &sim{r: r, schedule: s, link: l, ppm: ppm, us: r.Int64N(1 << 32), host: 1e9 * r.Float64()}
}

// next takes the next reading.
func (s *sim) next() {
	s.skip(s.schedule(s.r))
	if s.bursts > 0 && s.r.Float64() < s.bursts*0.01 {
		s.busy = max(s.busy, s.host+0.5e9*s.r.Float64())
	}
	const transmission = 3e6
	arrival := s.link(s.r, s.host+transmission)
	s.arrival = max(s.arrival, int64(max(arrival, s.busy)))
}

// skip lets device time [ns] pass.
func (s *sim) skip(ns float64) {
	us := math.Round(ns / 1000)
	s.us += int64(us)
	s.host += us * 1000 / (1 + s.ppm*1e-6)
}

// run places readings for this long [s] and returns the verdicts' counts.
func (s *sim) run(a *Aligner, seconds float64) (n [3]int) {
	for end := s.host + seconds*1e9; s.host < end; {
		s.next()
		_, v := a.Place(uint32(s.us), s.arrival)
		n[v]++
	}
	return n
}

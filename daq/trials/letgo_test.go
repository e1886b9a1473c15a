package trials

import (
	"math"
	"testing"
)

// watching is a watcher of a bob of 1 kg, half a swing of which takes 0.6 s, after so many
// samples, the newest of which is the last.
func watching(samples int, at func(t float64) sample) *Watcher {
	w := &Watcher{body: &body{inertia: 1, half: 0.6, noise: 1e-3, weight: 9.8}}
	w.track.body = w.body
	for i := range samples {
		s := at(seconds(int64(i) * pace))
		s.t = int64(i) * pace
		w.track.ring[i] = s
		w.track.end++
	}
	return w
}

// What the floor gave is told from what a hand gives: upward, and where the bob would have
// come so low.
func TestByFloor(t *testing.T) {
	const down, samples = 1.0, 6 // [m/s], force and weight in balance
	for _, c := range []struct {
		name               string
		height, force, u   float64 // [m] at first, [N], [m/s]
		nothingBefore, may bool
	}{
		{"the floor is reached", 0.09, 5, 0.01, false, true},
		{"the floor is far", 0.2, 5, 0.01, false, false},
		{"how fast it came is not known", 0.2, 5, 0.5, false, true},
		{"something drew it down", 0.09, -5, 0.01, false, false},
		{"nothing is known from before", 0.09, 5, 0.01, true, false},
	} {
		w := watching(samples, func(t float64) sample {
			return sample{height: c.height - down*t, velocity: -down, uVelocity: c.u}
		})
		o := outside{force: c.force, since: w.track.back(samples - 1)}
		if c.nothingBefore {
			o.since = nil
		}
		if got := w.byFloor(&o, w.track.back(0)); got != c.may {
			t.Errorf("%s: by the floor %t, want %t", c.name, got, c.may)
		}
	}
}

// What a wave in the spring did is undone over half of half a swing, what a hand does is not.
func TestByWave(t *testing.T) {
	const pull, samples = -8.0, 30 // [N]
	falls := func(wave float64) func(t float64) sample {
		return func(t float64) sample {
			return sample{impulse: pull * t, velocity: pull*t + wave*math.Sin(2*math.Pi*t/0.3)}
		}
	}
	carried := func(t float64) sample { return sample{impulse: pull * t, velocity: 0.3} }
	for _, c := range []struct {
		name string
		bob  func(t float64) sample
		from int64 // [ns]
		wave bool
	}{
		{"a wave", falls(1), 0, true},
		{"a hand", carried, 0, false},
		{"it left too short a time ago to tell", falls(1), (samples - 10) * pace, false},
	} {
		w := watching(samples, c.bob)
		w.try.from = c.from
		if got := w.byWave(0.5); got != c.wave {
			t.Errorf("%s: by a wave %t, want %t", c.name, got, c.wave)
		}
	}
	w := watching(samples, falls(1))
	if o, ok := w.track.balance(0.14, 0); !ok || o.free(0.5) != -1 {
		t.Errorf("over half of the wave: %+v, want it to look like a hand", o)
	}
}

// Patience begins anew with each stretch in which the bob moves by itself, up to as long
// again after it left.
func TestSince(t *testing.T) {
	const left, long = 5_000_000_000, patience * 1e9 // [ns]
	for _, c := range []struct {
		free        int
		moved, want int64
	}{
		{0, left + 700_000_000, left},
		{3, left + 700_000_000, left + 700_000_000},
		{3, left + 9_000_000_000, left + long},
	} {
		if got := (&try{from: left, free: c.free, moved: c.moved}).since(); got != c.want {
			t.Errorf("%d, moved at %d ns: %d ns, want %d ns", c.free, c.moved, got, c.want)
		}
	}
}

// A bob that wavers while it is held leaves its place long before it is let go: the release
// is then put where the impulse begins to account for the momentum, not where it wavered.
func TestBegunInTheHand(t *testing.T) {
	const pull, samples, left, release = -8.0, 60, 0.1, 0.9 // [N], [s]
	w := watching(samples, func(t float64) sample {
		return sample{pull: pull, impulse: pull * t, velocity: pull * max(0, t-release), uVelocity: 0.01, height: 1}
	})
	w.rest.body = w.body
	for _, c := range []struct{ held, want float64 }{ // [m], [s]
		{1.005, release},
		{1.1, left}, // the bob is elsewhere then: something else has acted on it
	} {
		w.state = LetGo
		w.try = try{place: rest{height: c.held}, from: nanoseconds(left), free: plenty - 1, sides: [2]int{plenty - 1, 0}}
		e := w.decide(w.track.back(0))
		if got := seconds(e.T); e.Kind != Released || math.Abs(got-c.want) > 1e-3 {
			t.Errorf("held at %g m: kind %d at %.3f s, want a release at %.3f s", c.held, e.Kind, got, c.want)
		}
	}
}

package motion

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"joulewell/energy"
)

// answer is all of an answer as bits, so that absent answers compare as well.
type answer [9]uint64

func bitsOf(x, v energy.Estimate, q Quality) answer {
	b := math.Float64bits
	return answer{b(x.Value), b(x.U), b(v.Value), b(v.U), b(q.Scatter), b(q.Covariance),
		b(q.VelocityNoise), b(q.VelocityBias), uint64(q.Points<<16 | q.LeftOut)}
}

// troubled is a stream with outliers, bursts and gaps.
func troubled(rate, seconds float64, seed uint64) stream {
	r := rand.New(rand.NewPCG(seed, 3))
	s := sample(swing(0.1, 1.5), rate, seconds, noise, seed)
	s.spoil(func(i int) bool { return r.Float64() < 0.02 }, func() float64 { return 0.5 * r.NormFloat64() })
	var kept stream
	silent := 0
	for i := range s.times {
		if silent == 0 && r.Float64() < 0.005 {
			silent = r.IntN(int(rate))
		}
		if silent > 0 {
			silent--
			continue
		}
		kept.times = append(kept.times, s.times[i])
		kept.positions = append(kept.positions, s.positions[i])
	}
	return kept
}

// A new estimator fed only the two seconds up to the lag gives the very same bits as one
// that has run all the time, and so does asking late.
func TestSameBitsWhateverCameBefore(t *testing.T) {
	for _, rate := range []float64{40, 600} {
		s := troubled(rate, max(16, 1600/rate), 15)
		long := newLive(t, LiveOptions{})
		var want []answer
		s.through(t, long, func(i int, x, v energy.Estimate, q Quality) { want = append(want, bitsOf(x, v, q)) })
		compared, known := 0, 0
		for from := 0; from < len(want); from += 1 + int(rate) {
			fresh := newLive(t, LiveOptions{})
			end := from
			for end < len(s.times) && s.times[end] < s.times[from]+25e8 {
				if err := fresh.Add(s.times[end], s.positions[end]); err != nil {
					t.Fatal(err)
				}
				end++
			}
			// Ask late and backward.
			for i := end - 1; i >= from && s.times[i]+fresh.Lag() >= s.times[from]+2e9; i-- {
				if i >= len(want) || s.times[i]+fresh.Lag() > s.times[end-1] {
					continue
				}
				if got := bitsOf(fresh.At(s.times[i])); got != want[i] {
					t.Fatalf("%g Hz, point %d: %x, want %x", rate, i, got, want[i])
				}
				compared++
				if math.Float64frombits(want[i][0]) > 0 {
					known++
				}
			}
		}
		if known < 200 || known == compared {
			t.Errorf("%g Hz: compared %d answers, %d of them known: the stream tests too little", rate, compared, known)
		}
	}
}

// A closer answer leaves nothing behind for the usual one at a neighbouring instant,
// which shares its points.
func TestUsualAfterCloser(t *testing.T) {
	s := sample(swing(0.1, 1.5), 80, 4, noise, 25)
	m := newSmoother(t, s)
	for i := 100; i < 200; i++ {
		want := bitsOf(m.At(s.times[i] + 1000))
		m.Both(s.times[i])
		if got := bitsOf(m.At(s.times[i] + 1000)); got != want {
			t.Fatalf("point %d: %x after a closer answer, want %x", i, got, want)
		}
	}
}

// Points later than the lag change nothing, and Reset forgets everything.
func TestLaterPointsAndReset(t *testing.T) {
	for _, rate := range []float64{40, 80, 600} {
		laterPointsAndReset(t, troubled(rate, 6, 16))
	}
}

func laterPointsAndReset(t *testing.T, s stream) {
	l := newLive(t, LiveOptions{})
	var first []answer
	s.through(t, l, func(i int, x, v energy.Estimate, q Quality) {
		first = append(first, bitsOf(x, v, q))
		for j := i; j >= 0 && s.times[j] >= s.times[i]-1e9; j -= 1 + i%17 {
			if got := bitsOf(l.At(s.times[j])); got != first[j] {
				t.Fatalf("point %d asked again at %d: %x, want %x", j, i, got, first[j])
			}
		}
	})
	l.Reset()
	s.through(t, l, func(i int, x, v energy.Estimate, q Quality) {
		if got := bitsOf(x, v, q); got != first[i] {
			t.Fatalf("point %d after a reset: %x, want %x", i, got, first[i])
		}
	})
	// A device that starts anew carries on in time.
	l.Reset()
	end := len(s.times) * 5 / 6
	late := stream{s.times[end:], s.positions[end:]}
	var fresh []answer
	late.through(t, newLive(t, LiveOptions{}), func(_ int, x, v energy.Estimate, q Quality) {
		fresh = append(fresh, bitsOf(x, v, q))
	})
	late.through(t, l, func(i int, x, v energy.Estimate, q Quality) {
		if got := bitsOf(x, v, q); got != fresh[i] {
			t.Fatalf("point %d from the end on, after a reset: %x, want %x", i, got, fresh[i])
		}
	})
}

// Moving the time base by an anchor changes no bit; looking from the other side changes signs and
// nothing else.
func TestSymmetries(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate := rapid.SampledFrom([]float64{25, 40, 80, 300}).Draw(t, "rate")
		s := troubled(rate, 1, rapid.Uint64().Draw(t, "seed"))
		if len(s.times) < 3 {
			return
		}
		shift := Anchor(rapid.Int64Range(-1e15, 1e15).Draw(t, "shift"))
		plain, moved, mirrored := mustLive(t), mustLive(t), mustLive(t)
		for i, ti := range s.times {
			if plain.Add(ti, s.positions[i]) != nil || moved.Add(ti+shift, s.positions[i]) != nil || mirrored.Add(ti, -s.positions[i]) != nil {
				t.Fatal("point refused")
			}
		}
		at := rapid.Int64Range(s.times[0], s.times[len(s.times)-1]).Draw(t, "at")
		x, v, q := plain.At(at)
		want := bitsOf(x, v, q)
		if got := bitsOf(moved.At(at + shift)); got != want {
			t.Fatalf("moved by %d ns: %x, want %x", shift, got, want)
		}
		mx, mv, mq := mirrored.At(at)
		mx.Value, mv.Value = -mx.Value, -mv.Value
		if x.Known() && bitsOf(mx, mv, mq) != want || x.Known() != mx.Known() {
			t.Fatalf("mirrored: %v %v %+v, want %v %v %+v", mx, mv, mq, x, v, q)
		}
	})
}

func mustLive(t *rapid.T) *Live {
	l, err := NewLive(LiveOptions{Noise: noise})
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func TestNoAllocation(t *testing.T) {
	l := newLive(t, LiveOptions{})
	s := troubled(500, 40, 17)
	i := 0
	allocs := testing.AllocsPerRun(len(s.times)-1, func() {
		if l.Add(s.times[i], s.positions[i]) != nil {
			t.Error("point refused")
		}
		l.At(s.times[i] - l.Lag())
		i++
	})
	if allocs != 0 || i < 3*memory {
		t.Errorf("%g allocations a point, of %d points", allocs, i)
	}
}

package clock

import (
	"math/rand/v2"
	"testing"
)

// readings of a device on a batching link, as the benchmarks repeat them: device
// time and arrival since the first.
type stamps struct {
	us, arrival []int64
}

func recorded(period float64) stamps {
	s := newSim(1, 1258, loosely(period), held(16e6, 0.3e6))
	var out stamps
	us, host := s.us, int64(s.host)
	for s.host < float64(host)+60e9 {
		s.next()
		out.us = append(out.us, s.us-us)
		out.arrival = append(out.arrival, s.arrival-host)
	}
	return out
}

// replay returns a function that gives the recording's readings for ever.
func (s stamps) replay() func() (deviceUs uint32, arrival int64) {
	i, us, at := 0, int64(0), int64(0)
	return func() (uint32, int64) {
		if i == len(s.us) {
			i = 0
			us += s.us[len(s.us)-1]
			at += s.arrival[len(s.arrival)-1]
		}
		u, a := us+s.us[i], at+s.arrival[i]
		i++
		return uint32(u), a
	}
}

func benchmarkPlace(b *testing.B, period float64) {
	next := recorded(period).replay()
	a := New(Options{})
	b.ReportAllocs()
	for b.Loop() {
		if _, v := a.Place(next()); v == Restarted {
			b.Fatal("restarted")
		}
	}
}

func BenchmarkPlace100(b *testing.B)  { benchmarkPlace(b, 10e6) }
func BenchmarkPlace1000(b *testing.B) { benchmarkPlace(b, 1e6) }

// BenchmarkPlaceFloor: the least that any way must do: the same readings, wraps
// undone, times a constant rate.
func BenchmarkPlaceFloor(b *testing.B) {
	next := recorded(10e6).replay()
	var newest, sum int64
	for b.Loop() {
		us, _ := next()
		newest += int64(us - uint32(newest))
		sum += int64(float64(newest) * 1000 * (1 - 1258e-6))
	}
	if sum == 0 {
		b.Fatal("nothing added up")
	}
}

// BenchmarkFit: one look at a full envelope, due once a second of device time.
func BenchmarkFit(b *testing.B) {
	var e envelope
	e.reset()
	r := rand.New(rand.NewPCG(1, 0))
	for i := range int64(20_000) {
		e.add(point{i * 10_000, int64(1e6 * r.ExpFloat64())}, 0)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, ok := e.fit(); !ok {
			b.Fatal("no edge")
		}
	}
}

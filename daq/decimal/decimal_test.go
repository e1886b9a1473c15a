package decimal

import (
	"encoding/binary"
	"fmt"
	"math"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

// oddFloats are the numbers where a formatter goes wrong first: halves of the last
// digit, both zeros, both sides of the range done by scaled integers, the ends of
// the type.
var oddFloats = []float64{
	0, math.Copysign(0, -1), 0.5, 1.5, 2.5, -0.5, 0.125, 0.375, 0.0625, 1.0 / 1024, 0.000000476837158203125,
	0.1, 0.25, 0.3, 1, 9.9999995, 99.9999999, 0.9999996, 1e-7, 4.9999999e-7, 5e-7, -5e-7, 5.0000001e-7,
	1e15, 1<<50 - 1, 1 << 50, 1<<53 + 2, 1<<60 + 1<<20, 0.1e17 + 2, 1125899906.842624, 112589990.6842624, 1e20, 1e21, 1e22, 1e23, 1e300, -1e300,
	math.MaxFloat64, math.SmallestNonzeroFloat64, math.Nextafter(0.5, 0), math.Nextafter(0.5, 1),
	math.Nextafter(0.0000005, 0), math.Nextafter(0.0000005, 1), 1.0000005, 123456.7890125,
}

func sameAsStrconv(t interface{ Fatalf(string, ...any) }, x float64, d int) {
	got := string(AppendFixed([]byte("x"), x, d))
	want := string(strconv.AppendFloat([]byte("x"), x, 'f', d, 64))
	if got != want {
		t.Fatalf("AppendFixed(%x, %d) = %q, strconv has %q", x, d, got, want)
	}
}

// The independent route: strconv rounds the exact binary value, halves to even.
func TestFixedIsStrconv(t *testing.T) {
	for _, x := range oddFloats {
		for d := range 10 {
			sameAsStrconv(t, x, d)
		}
	}
	digits := rapid.IntRange(0, 9)
	t.Run("any", rapid.MakeCheck(func(t *rapid.T) {
		sameAsStrconv(t, rapid.Float64().Draw(t, "x"), digits.Draw(t, "d"))
	}))
	t.Run("near a half", rapid.MakeCheck(func(t *rapid.T) {
		d := digits.Draw(t, "d")
		x := (float64(rapid.Int64Range(-1e12, 1e12).Draw(t, "n")) + 0.5) / pow10[d]
		for range rapid.IntRange(0, 2).Draw(t, "steps") {
			x = math.Nextafter(x, math.Inf(rapid.SampledFrom([]int{-1, 1}).Draw(t, "way")))
		}
		sameAsStrconv(t, x, d)
	}))
	t.Run("exact halves", rapid.MakeCheck(func(t *rapid.T) {
		// m/2^k has k digits after the point, the last of which is a 5.
		k := rapid.IntRange(1, 10).Draw(t, "k")
		m := 2*rapid.Int64Range(-1<<40, 1<<40).Draw(t, "m") + 1
		sameAsStrconv(t, math.Ldexp(float64(m), -k), k-1)
	}))
}

func TestHalvesGoToEven(t *testing.T) {
	for _, c := range []struct {
		x    float64
		d    int
		want string
	}{
		{0.5, 0, "0"}, {1.5, 0, "2"}, {2.5, 0, "2"}, {0.125, 2, "0.12"}, {0.375, 2, "0.38"}, {-0.125, 2, "-0.12"},
	} {
		if got := string(AppendFixed(nil, c.x, c.d)); got != c.want {
			t.Errorf("%g with %d digits: got %s, want %s", c.x, c.d, got, c.want)
		}
	}
}

// A raw number must read as the same bits, and take no more digits than strconv needs.
func TestShortest(t *testing.T) {
	check := func(t interface{ Fatalf(string, ...any) }, x float64) {
		text := string(AppendShortest(nil, x))
		back, err := strconv.ParseFloat(text, 64)
		if err != nil || math.Float64bits(back) != math.Float64bits(x) {
			t.Fatalf("%x is written %s and reads as %x (%v)", x, text, back, err)
		}
		if abs := math.Abs(x); abs >= 1e-6 && abs < 1e21 || x == 0 {
			if want := strconv.FormatFloat(x, 'f', -1, 64); text != want {
				t.Fatalf("%x is written %s, strconv has %s", x, text, want)
			}
		}
	}
	for _, x := range oddFloats {
		check(t, x)
	}
	t.Run("any", rapid.MakeCheck(func(t *rapid.T) { check(t, rapid.Float64().Draw(t, "x")) }))
	t.Run("decimals", rapid.MakeCheck(func(t *rapid.T) {
		n := rapid.Int64Range(-1e15, 1e15).Draw(t, "n")
		check(t, float64(n)/pow10[rapid.IntRange(0, 8).Draw(t, "d")])
	}))
}

func TestSeconds(t *testing.T) {
	for _, c := range []struct {
		t    int64
		want string
	}{
		{0, "0.000000000"}, {1, "0.000000001"}, {-12_000_000, "-0.012000000"}, {61_000_000_007, "61.000000007"},
		{math.MaxInt64, "9223372036.854775807"}, {math.MinInt64, "-9223372036.854775808"},
	} {
		if got := string(AppendSeconds(nil, c.t)); got != c.want {
			t.Errorf("%d ns: got %s, want %s", c.t, got, c.want)
		}
	}
}

func TestEightDigits(t *testing.T) {
	check := func(n uint64) {
		t.Helper()
		var got [8]byte
		binary.LittleEndian.PutUint64(got[:], eightDigits(n))
		if want := fmt.Sprintf("%08d", n); string(got[:]) != want {
			t.Fatalf("%d: %q", n, got)
		}
	}
	// The two halves do not meet: all values of each are all cases.
	for n := range uint64(10000) {
		check(n)
		check(n * 10000)
		check(n*10000 + 9999)
		check(99990000 + n)
	}
}

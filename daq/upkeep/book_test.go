package upkeep

import (
	"errors"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"joulewell/daq/setup"
)

func severn(t *testing.T) setup.File {
	t.Helper()
	f, err := setup.Load("../../testdata/benches/severn.toml")
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func on(day string) time.Time {
	t, err := time.Parse("2006-01-02", day)
	if err != nil {
		panic(err)
	}
	return t
}

func spring(date string, rate float64) Entry {
	return Entry{
		Kind: Spring, Date: on(date), Due: on(date).AddDate(1, 0, 0), By: "evening \"crew\"\nof two", Method: "six loads, up and down",
		Warnings: []string{"one load only was repeated"},
		AsFound:  map[string]any{"spring_rate_N_m": 24.6, "spring_rate_u_N_m": 0.1},
		AsLeft:   map[string]any{"spring_rate_N_m": rate, "spring_rate_u_N_m": 0.05},
		Points:   []map[string]any{{"mass_g": 100.0, "length_mm": 158.5, "direction": "up"}, {"mass_g": 200.0, "length_mm": 198.0, "direction": "down"}},
	}
}

func TestBookKeepsWhatIsAdded(t *testing.T) {
	path := filepath.Join(t.TempDir(), "calibration.toml")
	first, second := spring("2026-09-01", 24.7), spring("2026-11-20", 24.9)
	second.By, second.Warnings, second.Points, second.AsFound, second.Due = "", nil, nil, nil, time.Time{}
	for _, e := range []Entry{first, second} {
		if err := Add(path, e); err != nil {
			t.Fatal(err)
		}
	}
	book, err := Load(path)
	if err != nil {
		t.Fatal(err)
	}
	if want := (Book{first, second}); !reflect.DeepEqual(book, want) {
		t.Errorf("read back\n%+v\nwant\n%+v", book, want)
	}
	before, _ := os.ReadFile(path)
	third := spring("2026-12-01", 25)
	if err := Add(path, third); err != nil {
		t.Fatal(err)
	}
	after, _ := os.ReadFile(path)
	if !strings.HasPrefix(string(after), string(before)) {
		t.Error("what stood in the book was changed by an addition")
	}
	if got := book.Latest(Force); got != nil {
		t.Errorf("newest calibration of the force = %+v, want none", got)
	}
}

func TestNewestEntryCounts(t *testing.T) {
	f := severn(t)
	delay := Entry{Kind: Timing, Date: on("2026-10-05"), AsLeft: map[string]any{"force_delay_ms": 23.4, "force_delay_u_ms": 0.4}}
	book := Book{spring("2026-09-01", 24.7), delay, spring("2026-11-20", 24.9)}
	laid, standing, err := book.Apply(f)
	if err != nil {
		t.Fatal(err)
	}
	got := laid.Pick("spring_rate_N_m", "spring_rate_u_N_m", "force_delay_ms", "force_span_N_per_count")
	want := map[string]float64{"spring_rate_N_m": 24.9, "spring_rate_u_N_m": 0.05, "force_delay_ms": 23.4, "force_span_N_per_count": 1.204e-5}
	for key, w := range want {
		if g := got[key]; g < w*(1-1e-12) || g > w*(1+1e-12) {
			t.Errorf("%s = %g, want %g", key, g, w)
		}
	}
	counts := map[Kind]bool{}
	for _, s := range standing {
		counts[s.Kind] = s.Entry != nil
	}
	if !maps.Equal(counts, map[Kind]bool{Force: false, Distance: false, Timing: true, Spring: true}) {
		t.Errorf("standing entries %v", counts)
	}
	last := standing[3]
	if text := last.Overdue(on("2027-11-19")); text != "" {
		t.Errorf("overdue a day early: %q", text)
	}
	if text := last.Overdue(on("2027-11-21")); !strings.Contains(text, "spring was due on 2027-11-20") {
		t.Errorf("overdue = %q", text)
	}

	f.Since.Spring = on("2026-11-21")
	laid, standing, err = book.Apply(f)
	if err != nil {
		t.Fatal(err)
	}
	if rate := laid.Bench.Apparatus.Spring.Rate.Value; rate != 24.6 {
		t.Errorf("rate %g by an entry about another spring, want the bench file's 24.6", rate)
	}
	if last := standing[3]; last.Entry != nil || !strings.Contains(last.Stale, "2026-11-20") || !strings.Contains(last.Stale, "calibrate it anew") {
		t.Errorf("standing of another spring's entry = %+v", last)
	}
}

// A book spoiled by hand is refused with its place, and nothing is written into it.
func TestSpoiledBook(t *testing.T) {
	e := spring("2026-09-01", 24.7)
	whole, err := e.text()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ name, text, want string }{
		{"not TOML", whole + "date = = 1", "line"},
		{"unknown key", strings.Replace(whole, "due =", "dew =", 1), "calibration.dew: there is no such key"},
		{"unknown kind", strings.Replace(whole, `"spring"`, `"sprung"`, 1), `entry 1: calibration of "sprung"`},
		{"value of another kind", strings.Replace(whole, "as_left = { spring_rate_N_m", "as_left = { force_noise_N", 1), "entry 1: force_noise_N: not a key that a calibration of the spring sets"},
		{"no date", strings.Replace(whole, "date = 2026-09-01T00:00:00Z", "", 1), "entry 1: date is missing"},
		{"due before", strings.Replace(whole, "due = 2027", "due = 2025", 1), "due on 2025-09-01, before its date, 2026-09-01"},
		{"nothing left", strings.Replace(whole, "as_left", "#", 1), "as_left is missing"},
		{"moved", whole + strings.Replace(whole, "2026-09-01", "2026-08-01", 1), "entry 2: spring of 2026-08-01 stands after one of 2026-09-01"},
		{"torn", whole[:len(whole)-30], "line"},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "calibration.toml")
			if err := os.WriteFile(path, []byte(c.text), 0o600); err != nil {
				t.Fatal(err)
			}
			if _, err := Load(path); !errors.Is(err, ErrSpoiled) || !strings.Contains(err.Error(), c.want) || !strings.Contains(err.Error(), "calibration.toml") {
				t.Errorf("Load() = %v, want ErrSpoiled saying %q", err, c.want)
			}
			if err := Add(path, spring("2026-12-01", 25)); err == nil || !strings.Contains(err.Error(), "nothing was written") {
				t.Errorf("Add() to a spoiled book = %v, want a refusal", err)
			}
			if now, _ := os.ReadFile(path); string(now) != c.text {
				t.Error("a spoiled book was changed")
			}
		})
	}
}

func TestAddRefuses(t *testing.T) {
	path := filepath.Join(t.TempDir(), "calibration.toml")
	if err := Add(path, spring("2026-11-20", 24.7)); err != nil {
		t.Fatal(err)
	}
	if err := Add(path, spring("2026-11-19", 24.7)); err == nil || !strings.Contains(err.Error(), "clock right? nothing was written") {
		t.Errorf("Add() of an older entry = %v", err)
	}
	foreign := spring("2026-11-21", 24.7)
	foreign.AsLeft = map[string]any{"bob_mass_g": 1.0}
	if err := Add(path, foreign); err == nil || !strings.Contains(err.Error(), "bob_mass_g") {
		t.Errorf("Add() of a foreign key = %v", err)
	}
	book, err := Load(path)
	if err != nil || len(book) != 1 {
		t.Errorf("book holds %d entries (%v), want the one that was sound", len(book), err)
	}
	if _, err := Load(filepath.Join(t.TempDir(), "none.toml")); err != nil {
		t.Errorf("Load() of no book = %v, want none", err)
	}
	// A value that no bench can have is found when it is to count.
	impossible := spring("2026-11-22", -3)
	if _, _, err := (Book{impossible}).Apply(severn(t)); !errors.Is(err, ErrSpoiled) || !strings.Contains(err.Error(), "spring_rate_N_m = -3") {
		t.Errorf("Apply() of an impossible value = %v", err)
	}
}

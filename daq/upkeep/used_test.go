package upkeep

import (
	"path/filepath"
	"testing"
)

// A run says by its setup which entries it went by: not one that came later, not one whose
// numbers are others, and the newest of those that are left, through a file and back.
func TestUsedEntriesAreThoseOfTheSetup(t *testing.T) {
	delay := Entry{Kind: Timing, Date: on("2026-10-05"), AsLeft: map[string]any{"force_delay_ms": 23.4, "force_delay_u_ms": 0.4}}
	path := filepath.Join(t.TempDir(), "calibration.toml")
	for _, e := range []Entry{spring("2026-09-01", 24.7), delay, spring("2026-11-20", 24.9)} {
		if err := Add(path, e); err != nil {
			t.Fatal(err)
		}
	}
	book, err := Load(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		rate  float64
		at    string
		dates []string // of the entries, delay before spring
	}{
		{24.9, "2026-11-21", []string{"2026-10-05", "2026-11-20"}},
		{24.7, "2026-11-21", []string{"2026-10-05", "2026-09-01"}},
		{24.9, "2026-11-19", []string{"2026-10-05"}},
		{24.7, "2026-10-01", []string{"2026-09-01"}},
		{24.6, "2026-11-21", []string{"2026-10-05"}},
	} {
		f, _, err := Book{delay}.Apply(severn(t))
		if err != nil {
			t.Fatal(err)
		}
		f.Bench.Apparatus.Spring.Rate.Value = c.rate
		f.Bench.Apparatus.Spring.Rate.U = 0.05
		var got []string
		for _, e := range book.Used(&f.Bench, on(c.at)) {
			got = append(got, day(e.Date))
		}
		if len(got) != len(c.dates) || got[0] != c.dates[0] || got[len(got)-1] != c.dates[len(c.dates)-1] {
			t.Errorf("rate %g on %s: entries of %v, want %v", c.rate, c.at, got, c.dates)
		}
	}
}

func TestShortFormOfPoints(t *testing.T) {
	e := spring("2026-09-01", 24.7)
	if got, want := e.Short(), "2 points: direction up, down; length_mm 158.5 to 198; mass_g 100 to 200"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	e.Points = []map[string]any{{"load": "A + B", "reading_counts": int64(7), "reading_u_counts": 0.2}}
	if got, want := e.Short(), "1 point: load A + B; reading_counts 7"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if got := (&Entry{}).Short(); got != "" {
		t.Errorf("without points: %q", got)
	}
}

package webui

import (
	"encoding/json"
	"net"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"joulewell/daq"
	"joulewell/daq/setup"
	"joulewell/daq/upkeep"
)

// withUpkeep gives a site a bench file with a book of its own, kept until the test ends.
func withUpkeep(o *Options, _ *net.Listener) {
	f, err := setup.Load("../testdata/benches/severn.toml")
	if err != nil {
		panic(err)
	}
	f.Calibration = filepath.Join(o.Bench.(*fakeBench).folder, setup.Book)
	if o.Upkeep, err = upkeep.Open(f, time.Now); err != nil {
		panic(err)
	}
}

// A finished calibration is what the bench goes by, and stands in the book; where none is
// kept, that is said.
func TestUpkeep(t *testing.T) {
	s := newSite(t, withUpkeep)
	s.bench.set(func(st *daq.Status) { st.Run.Active = false })
	post := func(status int, path, body string) upkeepAnswer {
		t.Helper()
		_, data := s.want(t, status, "POST", "/api/upkeep/"+path, body, asJSON...)
		var a upkeepAnswer
		if err := json.Unmarshal(data, &a); status < 300 && err != nil {
			t.Fatal(err)
		}
		return a
	}
	post(201, "begin", `{"kind":"spring"}`)
	var last upkeepAnswer
	for _, p := range []string{"100 g|157 mm", "200 g|197 mm", "300 g|237 mm", "200 g|197 mm"} {
		load, length, _ := strings.Cut(p, "|")
		last = post(200, "take", `{"load":"`+load+`","rule":"`+length+`"}`)
	}
	if f := last.Session.Finding; f == nil || len(f.Residuals) != 4 || f.Figures[0].Name != "rate" {
		t.Fatalf("session %+v", last.Session)
	}
	last = post(200, "finish", `{"by":"technician","note":"after the holidays"}`)
	if last.Session != nil || last.Standing[3].Entry == nil || last.Standing[3].Entry.By != "technician" || last.Standing[3].AgeHours == nil {
		t.Errorf("after finishing: %+v", last)
	}
	if len(s.bench.adopted) != 1 {
		t.Fatalf("%d setups adopted, want 1", len(s.bench.adopted))
	}
	// A hundred grams more stretch it by 40 mm.
	if k := s.bench.adopted[0].Apparatus.Spring.Rate.Value; k < 24.4 || k > 24.7 {
		t.Errorf("the bench goes by a rate of %g N/m, want about 24.5", k)
	}

	plain := newSite(t)
	plain.want(t, 404, "GET", "/api/upkeep", "")
}

// Viewers are told when each sensor was calibrated, by the book, else by the bench file or
// the recorded run; what nobody dated has no date.
func TestCalibrationDates(t *testing.T) {
	dates := func(s *site) map[string]*time.Time {
		m := map[string]*time.Time{}
		for _, c := range s.calibrations() {
			m[c.Kind] = c.Date
		}
		return m
	}
	day := time.Date(2026, 9, 1, 17, 5, 0, 0, time.UTC)
	plain := newSite(t)
	if m := dates(plain); len(m) != 2 || m["force"] != nil || m["distance"] != nil {
		t.Errorf("nothing is dated, but viewers are told of %v", m)
	}
	plain.bench.setup.Calibration.Force.Date = day
	if m := dates(plain); m["force"] == nil || !m["force"].Equal(day) || m["distance"] != nil {
		t.Errorf("the load cell of a recorded run is dated %v", m)
	}
	kept := newSite(t, withUpkeep)
	kept.bench.setup.Calibration.Distance.Date = day
	if m := dates(kept); len(m) != 4 || m["distance"] == nil || !m["distance"].Equal(day) || m["spring"] != nil {
		t.Errorf("beside an empty book viewers are told of %v", m)
	}
}

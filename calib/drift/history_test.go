package drift

import (
	"math"
	"strings"
	"testing"
	"time"

	"joulewell/energy"
)

// day is a moment so many days into the invented history of the bench Tamar.
func day(n float64) time.Time {
	return time.Date(2026, 3, 2, 18, 30, 0, 0, time.UTC).Add(time.Duration(n * float64(24*time.Hour)))
}

// massRecord is a check with mass M-1, 1.962 N.
func massRecord(days, deviation, u float64) Record {
	return Record{
		When: day(days), What: Mass, Standard: "M-1",
		Reference:  energy.Estimate{Value: 1.962, U: 0.0002},
		Indication: energy.Estimate{Value: 1.962 + deviation, U: u},
		Readings:   800, Air: math.NaN(),
	}
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.10g, want %.10g within %.1g", what, got, want, tol)
	}
}

func refused(t *testing.T, err error, words ...string) {
	t.Helper()
	if err == nil {
		t.Errorf("passed, want a refusal that says %q", words)
		return
	}
	for _, w := range words {
		if !strings.Contains(err.Error(), w) {
			t.Errorf("refused with %q, want it to say %q", err, w)
		}
	}
}

func TestDeviation(t *testing.T) {
	r := massRecord(0, 0.003, 0.00015)
	got := r.Deviation()
	near(t, "deviation", got.Value, 0.003, 1e-15)
	near(t, "its uncertainty", got.U, 0.00025, 1e-15) // 3-4-5
	near(t, "new with each record", r.fresh(), 0.00015, 0)
	r.What = Height
	near(t, "of a rule, read anew", r.fresh(), 0.00025, 1e-15)
}

func TestHistoryParts(t *testing.T) {
	zero := massRecord(1, 0, 0.001)
	zero.What, zero.Standard = Zero, ""
	h := History{Newtons, []Record{massRecord(0, 0, 0.001), zero, massRecord(2, 0, 0.001)}}
	if err := h.Check(); err != nil {
		t.Fatal(err)
	}
	if got := h.Of(Mass, "M-1"); len(got.Records) != 2 || got.Unit != Newtons {
		t.Errorf("of the mass: %+v", got)
	}
	if got := h.Since(day(1)); len(got.Records) != 2 || got.Records[0].What != Zero {
		t.Errorf("since day 1: %+v", got)
	}
	if got := h.Standards(); len(got) != 2 || len(got[0].Records) != 2 || got[1].Records[0].What != Zero {
		t.Errorf("standards: %+v", got)
	}
	refused(t, h.alone(1), "2 standards", "M-1")
	refused(t, h.Of(Mass, "M-1").alone(3), "2 records", "3")
	refused(t, History{Unit: h.Unit, Records: h.Records[:1]}.alone(2), "1 record:", "2")
}

func TestRecordRefusals(t *testing.T) {
	for word, spoil := range map[string]func(*Record){
		"time":                          func(r *Record) { r.When = time.Time{} },
		"what":                          func(r *Record) { r.What = "weight" },
		"readings = 0":                  func(r *Record) { r.Readings = 0 },
		"air":                           func(r *Record) { r.Air = math.Inf(1) },
		"one line":                      func(r *Record) { r.Note = "two\nlines" },
		"reference = NaN":               func(r *Record) { r.Reference.Value = math.NaN() },
		"indication = +Inf":             func(r *Record) { r.Indication.Value = math.Inf(1) },
		"uncertainty of the reference":  func(r *Record) { r.Reference.U = -1 },
		"uncertainty of the indication": func(r *Record) { r.Indication.U = math.NaN() },
	} {
		r := massRecord(1, 0, 0.001)
		spoil(&r)
		refused(t, r.Check(), word)
		refused(t, History{Newtons, []Record{massRecord(0, 0, 0), r}}.Check(), "record 2", word)
	}
	refused(t, History{Newtons, []Record{massRecord(1, 0, 0), massRecord(0, 0, 0)}}.Check(), "record 2", "older")
	refused(t, History{Unit: "kg"}.Check(), "kg")
}

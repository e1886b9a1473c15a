package proof

import (
	"testing"

	"joulewell/calib/doubt"
)

// Refusal is how a spoilt job must be refused.
type Refusal[Job any] struct {
	name, words string
	wraps       error
	spoil       func(*Job)
}

// Refuse makes a case: its name, words of the refusal, what it wraps, and how a good job
// is spoilt.
func Refuse[Job any](name, words string, wraps error, spoil func(*Job)) Refusal[Job] {
	return Refusal[Job]{name, words, wraps, spoil}
}

// Refusals wants each spoilt job refused, and the same job before not.
func Refusals[Job any](t *testing.T, fresh func() Job, work func(Job) error, cases ...Refusal[Job]) {
	t.Helper()
	if err := work(fresh()); err != nil {
		t.Fatalf("refused before it was spoilt: %v", err)
	}
	for _, c := range cases {
		j := fresh()
		c.spoil(&j)
		Refused(t, c.name, work(j), c.wraps, c.words)
	}
}

// Suspicion is how a spoilt job must be doubted.
type Suspicion[Job any] struct {
	name  string
	kind  doubt.Kind
	spoil func(*Job)
}

// Suspect makes a case: its name, the doubt, and how a good job is spoilt.
func Suspect[Job any](name string, kind doubt.Kind, spoil func(*Job)) Suspicion[Job] {
	return Suspicion[Job]{name, kind, spoil}
}

// Doubts wants each spoilt job to pass with its doubt, and the same job before without.
func Doubts[Job any](t *testing.T, fresh func() Job, work func(Job) (doubt.Notes, error), cases ...Suspicion[Job]) {
	t.Helper()
	clean, err := work(fresh())
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range cases {
		if clean.Has(c.kind) {
			t.Errorf("%s: doubted without reason: %v", c.name, clean)
		}
		j := fresh()
		c.spoil(&j)
		if notes, err := work(j); err != nil || !notes.Has(c.kind) {
			t.Errorf("%s: doubts %v, %v: want %q among them", c.name, notes, err, c.kind)
		}
	}
}

package daq

import (
	"io"
	"testing"

	"joulewell/daq/frame"
	"joulewell/daq/runfile"
)

// kept are rows of a run that is in memory.
type kept []frame.Frame

func (k *kept) Next(f *frame.Frame) error {
	if len(*k) == 0 {
		return io.EOF
	}
	*f, *k = (*k)[0], (*k)[1:]
	return nil
}

// A run with one digit changed is told by row and column.
func TestCompareNamesTheDigit(t *testing.T) {
	rows := kept(derive(t, bench(), swing{middle: 0.6, amplitude: 0.1, omega: 8}.readings(3, 0.0003, 1)))
	meta := runfile.Meta{Setup: *bench(), Complete: true}
	whole := rows
	if c, err := Compare(&whole, &meta, func(*frame.Frame) {}); err != nil || c.Differing != 0 || c.Column != "" {
		t.Fatalf("Compare() of a whole run = %+v, %v", c, err)
	}
	rows[200].Velocity.Value += 1e-5
	rows[230].Force.Value += 1
	c, err := Compare(&rows, &meta, func(*frame.Frame) {})
	if err != nil || c.Differing != 2 || c.First != 201 || c.Column != "velocity_m_s" {
		t.Errorf("Compare() = %+v, %v; want 2 differing, the first 201 by its velocity_m_s", c, err)
	}
}

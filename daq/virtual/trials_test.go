package virtual

import (
	"bytes"
	"math"
	"slices"

	"joulewell/daq/wire"
)

// trials holds, for every fault, how it is injected and what must then be seen over 30
// seconds of the default bench.
var trials = []struct {
	fault string
	check func(t trial)
}{
	{"push=0.3", func(t trial) {
		_, v := t.velocityAt(1.001)
		near(t, "velocity just after the release [m/s]", v, 0.3+0.001*t.cfg.Gravity, 2e-3)
	}},
	{"floor-hit=0.05", func(t trial) {
		s := t.rig().At(3e9)
		if s.Contacts == 0 || s.Lost.Floor <= 0 {
			t.Errorf("no impact on the floor: %+v", s)
		}
		c, err := t.cfg.effective()
		if err != nil {
			t.Fatal(err)
		}
		near(t, "support [m]", c.Support, 0.1205+0.0604+c.lowest()-0.05, 1e-12)
		near(t, "support in the setup [m]", Setup(t.cfg).Apparatus.Support.Value, c.Support, 0)
	}},
	{"sway=0.15", func(t trial) {
		longest := 0.0
		for i, s := range t.ill.samples[:len(t.sound.samples)] {
			if s.Reading.Has(wire.EchoUs) {
				more := s.Distance - t.sound.samples[i].Distance
				if !(more > -1e-5) {
					t.Fatalf("the path is shorter by %g m", -more)
				}
				longest = max(longest, more)
			}
		}
		near(t, "longest detour [m]", longest, 0.0039, 2e-4) // l(1-cos) + (l sin)^2/2d, l = 0.249 m, d = 0.6 m
	}},
	{"lost-echo=0.2@5-20", func(t trial) {
		near(t, "share of lost echoes", t.share(5, 20, lost), 0.2, 0.06)
		near(t, "share of lost echoes before", t.share(0, 5, lost), 0.002, 0.01)
		near(t, "share of lost echoes after", t.share(20, 30, lost), 0.002, 0.01)
	}},
	{"echo-outlier=0.1", func(t trial) {
		near(t, "share of wild echoes", t.share(0, 30, wild), 0.1, 0.04)
	}},
	{"noise-burst=8", func(t trial) {
		for second, times := range map[int]float64{0: 8, 2: 1, 5: 8, 7: 1} {
			echo, load := t.noise(second)
			near(t, "noise of the echoes over its usual", echo/t.cfg.Ranger.Noise, times, 0.45*times)
			near(t, "noise of the load cell over its usual", load/t.cfg.Load.Noise, times, 0.35*times)
		}
	}},
	{"stuck-range=3@8", func(t trial) {
		near(t, "time that echoes repeat [s]", t.stuck(wire.EchoUs, 7, 12), 3, 0.06)
	}},
	{"stuck-load=2@8", func(t trial) {
		near(t, "time that conversions repeat [s]", t.stuck(wire.LoadCounts, 7, 12), 2, 0.04)
	}},
	{"load-saturated=1.3", func(t trial) {
		n := 0
		for i, s := range t.ill.samples {
			if !s.Reading.Has(wire.LoadCounts) {
				continue
			}
			counts := s.Reading.Values[wire.LoadCounts]
			above := s.Force - 1.3*t.cfg.Bob.Mass*t.cfg.Gravity
			switch {
			case above > 0.02:
				n++
				near(t, "counts above the limit", counts, -8388608, 0) // the span is negative
			case above < -0.02:
				near(t, "counts below the limit", counts, t.sound.samples[i].Reading.Values[wire.LoadCounts], 0)
			}
		}
		if n < 100 {
			t.Errorf("only %d conversions at the end of the range", n)
		}
	}},
	{"load-drift=0.01@10", func(t trial) {
		for i, s := range t.ill.samples {
			if s.Reading.Has(wire.LoadCounts) {
				more := (s.Reading.Values[wire.LoadCounts] - t.sound.samples[i].Reading.Values[wire.LoadCounts]) * t.cfg.Load.Span
				near(t, "drift [N]", more, 0.01*max(0, float64(s.At)*1e-9-10), 2e-5)
			}
		}
	}},
	{"load-spike=0.05", func(t trial) {
		n, all := 0, 0
		for _, s := range t.ill.samples {
			if s.Reading.Has(wire.LoadCounts) {
				all++
				if off := math.Abs((s.Reading.Values[wire.LoadCounts]-t.cfg.Load.Zero)*t.cfg.Load.Span - s.Force); off > 0.4 {
					n++
					if off > 5.1 {
						t.Errorf("a spike of %g N", off)
					}
				}
			}
		}
		near(t, "share of spikes", float64(n)/float64(all), 0.05, 0.02)
	}},
	{"missing-field=0.1", func(t trial) { t.refuses(wire.WrongColumnCount, 0.1) }},
	{"huge-number=0.1", func(t trial) { t.refuses(wire.OutOfRange, 0.1, wire.NotANumber) }},
	{"nan-text=0.1", func(t trial) { t.refuses(wire.NotANumber, 0.1) }},
	{"bad-checksum=0.1", func(t trial) { t.refuses(wire.BadChecksum, 0.1) }},
	{"torn-line=0.1", func(t trial) {
		t.refuses(wire.BadChecksum, 0.1, wire.NoChecksum, wire.WrongColumnCount, wire.EmptyLine)
		near(t, "length of the output", float64(len(t.ill.bytes)), float64(len(t.sound.bytes))*0.95, 3000)
	}},
	{"no-newline=0.1", func(t trial) {
		refused := float64(t.ill.counts.Refused[wire.BadChecksum])
		near(t, "glued lines refused", refused, 0.09*float64(len(t.ill.samples)), 60)
		near(t, "readings lost", float64(len(t.ill.samples)-len(t.ill.readings)), 0.19*float64(len(t.ill.samples)), 120)
	}},
	{"crlf", func(t trial) {
		if n := bytes.Count(t.ill.bytes, []byte("\r\n")); n < len(t.ill.samples)-3 || t.ill.counts.RefusedTotal() > 0 {
			t.Errorf("%d of %d lines end in CR LF, %d refused", n, len(t.ill.samples), t.ill.counts.RefusedTotal())
		}
	}},
	{"doubled-line=0.1", func(t trial) {
		doubles := 0
		for i := 1; i < len(t.ill.readings); i++ {
			if t.ill.readings[i] == t.ill.readings[i-1] {
				doubles++
			}
		}
		near(t, "share of doubled lines", float64(doubles)/float64(len(t.ill.samples)), 0.1, 0.025)
	}},
	{"swapped-lines=0.1", func(t trial) {
		swaps := 0
		for i := 1; i < len(t.ill.readings); i++ {
			if t.ill.readings[i].Seq+1 == t.ill.readings[i-1].Seq {
				swaps++
			}
		}
		near(t, "share of swapped lines", float64(swaps)/float64(len(t.ill.samples)), 0.09, 0.025)
		if t.ill.counts.RefusedTotal() > 0 {
			t.Errorf("refused %v", t.ill.counts.Refused)
		}
	}},
	{"binary-noise=0.1", func(t trial) {
		c := t.ill.counts
		n := float64(len(t.ill.samples))
		if bad := float64(c.RefusedTotal()); bad < 0.08*n || bad > 0.2*n || c.Refused[wire.NotASCII] == 0 {
			t.Errorf("refused %v of %g lines", c.Refused, n)
		}
		if len(t.ill.readings) < int(0.85*n) {
			t.Errorf("only %d of %g readings got through", len(t.ill.readings), n)
		}
	}},
	{"half-rate=2@12.5", func(t trial) { t.misheard(12.5, 14.5) }},
	{"double-rate=2@12.5", func(t trial) { t.misheard(12.5, 14.5) }},
	{"reset=1.5@12.5", func(t trial) {
		at := slices.IndexFunc(t.ill.samples, func(s Sample) bool { return s.Boot == 2 })
		if at < 0 {
			t.Fatal("no second power-up")
		}
		before, after := t.ill.samples[at-1], t.ill.samples[at]
		near(t, "last reading before [s]", float64(before.At)*1e-9, 12.5, 0.03)
		near(t, "first reading after [s]", float64(after.At)*1e-9, 14, 0.06)
		if after.Reading.Seq != 0 || after.Reading.DeviceUs > 100_000 || t.ill.samples[len(t.ill.samples)-1].Boot != 2 {
			t.Errorf("after the reset: %+v", after)
		}
	}},
	{"new-field-order=0.5@12.5", func(t trial) {
		const reversed = "#fields air_centi_C,load_counts,echo_us,t_us,seq*"
		if n := bytes.Count(t.ill.bytes, []byte(reversed)); n != 4 { // at 13, 18, 23 and 28 s
			t.Errorf("the other order is announced %d times", n)
		}
		if t.ill.counts.RefusedTotal() != 1 || len(t.ill.readings) < len(t.ill.samples)-3 { // the empty line of the restart
			t.Errorf("refused %v, %d of %d readings", t.ill.counts.Refused, len(t.ill.readings), len(t.ill.samples))
		}
	}},
	{"freeze=3@12.5", func(t trial) {
		longest, seq := int64(0), true
		for i := 1; i < len(t.ill.samples); i++ {
			a, b := t.ill.samples[i-1], t.ill.samples[i]
			longest = max(longest, b.At-a.At)
			seq = seq && b.Reading.Seq == a.Reading.Seq+1
		}
		near(t, "longest silence [s]", float64(longest)*1e-9, 3, 0.03)
		if !seq {
			t.Error("seq has jumped: a hanging firmware counts nothing")
		}
	}},
	{"time-jump-back=2@12.5", func(t trial) {
		jumps := 0
		for i := 1; i < len(t.ill.samples); i++ {
			a, b := t.ill.samples[i-1].Reading, t.ill.samples[i].Reading
			if step := int32(b.DeviceUs - a.DeviceUs); step < 0 {
				jumps++
				near(t, "step of the clock [us]", float64(step), -2e6, 30e3)
			}
		}
		if jumps != 1 {
			t.Errorf("the clock jumped %d times", jumps)
		}
	}},
	{"latency-burst=0.7@12.5", func(t trial) {
		longest, at := int64(0), int64(0)
		for i := 1; i < len(t.ill.pieces); i++ {
			if gap := t.ill.pieces[i].at - t.ill.pieces[i-1].at; gap > longest {
				longest, at = gap, t.ill.pieces[i].at
			}
		}
		near(t, "longest wait [s]", float64(longest)*1e-9, 0.7, 0.03)
		near(t, "its end [s]", float64(at)*1e-9, 13.2, 0.001)
		if !bytes.Equal(t.ill.bytes, t.sound.bytes) {
			t.Error("bytes have changed")
		}
	}},
	{"clock-wrap=6", func(t trial) {
		wraps := 0
		for i := 1; i < len(t.ill.samples); i++ {
			if a, b := t.ill.samples[i-1], t.ill.samples[i]; b.Reading.DeviceUs < a.Reading.DeviceUs {
				wraps++
				near(t, "wrap [s]", float64(b.At)*1e-9, 6.005, 0.03)
			}
		}
		if wraps != 1 {
			t.Errorf("the clock wrapped %d times", wraps)
		}
	}},
	{"clock-drift=3", func(t trial) {
		last := t.ill.samples[len(t.ill.samples)-1]
		want := 37 + 3*30.0/2 // ppm, mean over 30 s
		near(t, "mean rate [ppm]", (float64(last.Reading.DeviceUs)/(float64(last.At-5e6)*1e-3)-1)*1e6, want, 0.5)
	}},
	{"no-fields", func(t trial) {
		c := t.ill.counts
		if c.FieldLines != 0 || c.Refused[wire.NoFields] < 3000 || len(t.ill.readings) != 0 {
			t.Errorf("counts %+v", c)
		}
	}},
}

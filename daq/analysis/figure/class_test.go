package figure

import (
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"

	"joulewell/daq/trials/table"
)

// A panel for each quantity that two groups have, every group by name, a band where they
// should agree and none where each chose its own.
func TestClass(t *testing.T) {
	mean := 0.0036
	q := table.Agreement{
		Key: "loss_per_cycle_J", Label: "loss per cycle", Unit: "J", Mean: &mean, U: 1e-4,
		Groups: []table.Found{{Label: "red <&> table", Mean: 0.0035, U: 2e-4}, {Label: "blue, of a label that is far too long to be read", Mean: 0.0037, U: 2e-4}},
	}
	chosen, alone := q, q
	chosen.Chosen, chosen.Label = true, "total at the start"
	alone.Mean, alone.Label = nil, "period"
	svg := func(all ...table.Agreement) string {
		var out strings.Builder
		if err := Class(&out, &table.Class{Quantities: all}); err != nil {
			t.Fatal(err)
		}
		for d := xml.NewDecoder(strings.NewReader(out.String())); ; {
			if _, err := d.Token(); errors.Is(err, io.EOF) {
				return out.String()
			} else if err != nil {
				t.Fatal(err)
			}
		}
	}
	all := svg(q, chosen, alone)
	for want, times := range map[string]int{"red &lt;&amp;&gt; table": 2, "blue, of a label that is fa…": 2, "loss per cycle / mJ": 1, "total at the start / mJ": 1, "period": 0} {
		if n := strings.Count(all, want); n != times {
			t.Errorf("%q stands %d times, want %d", want, n, times)
		}
	}
	band := "#D9D9D9"
	if with, without := strings.Count(svg(q), band), strings.Count(svg(chosen), band); with != without+1 {
		t.Errorf("%d bands where groups should agree, %d where they need not", with, without)
	}
	if err := Class(io.Discard, &table.Class{Quantities: []table.Agreement{alone}}); err == nil || !strings.Contains(err.Error(), "nothing that two groups") {
		t.Errorf("%v", err)
	}
}

package table

import (
	"strings"
	"testing"
)

// The text for a person holds what the table holds, with digits that are known.
func TestText(t *testing.T) {
	red := many("red", 1.42e-3, 1.38e-3, 1.45e-3, 1.51e-3, 1.49e-3, 9.56e-3)
	blue := many("blue", 2.42e-3, 2.38e-3, 2.45e-3)
	for _, all := range [][]Trial{red, blue} {
		for i := range all {
			all[i].Row.Shared["loss_per_cycle_J"][0].By = 2e-4
			all[i].Row.CycleLoss.U = 3e-4
		}
	}
	blue[2].Row.Counts = false
	table := Of(append(red, blue...))
	var page strings.Builder
	if err := Text(&page, &table); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"red: 6 trials\n", "blue: 2 trials, 1 left out\n",
		"loss per cycle  6  2.8 mJ ± 3.5 mJ", "trial 6\n", // R: qt(.975, 5)*sqrt(var(y)/6 + 0.04), nearly
		"two trials say little", "loss per cycle: red less blue is",
		"no difference may be claimed", "stands apart from the others by Grubbs' test",
	} {
		if !strings.Contains(page.String(), want) && !strings.Contains(strings.Join(strings.Fields(page.String()), " "), want) {
			t.Errorf("%q is missing in\n%s", want, page.String())
		}
	}
	for line := range strings.Lines(page.String()) {
		if strings.HasPrefix(line, "note:") && len(line) > 100 {
			t.Errorf("a note is wider than the page: %q", line)
		}
	}
}

package main

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

// wholeBench is enough for both commands.
var wholeBench = []string{
	"--bob-mass", "250.1g", "--bob-length", "6.2cm", "--spring-mass", "9.8g", "--natural-length", "11.8cm",
	"--spring-rate", "24.6N/m +- 0.1N/m", "--support-height", "96.5cm",
}

func say(t *testing.T, args ...string) (status int, stdout, stderr string) {
	t.Helper()
	var out, complaint strings.Builder
	status = run(t.Context(), args, &out, &complaint)
	return status, out.String(), complaint.String()
}

// 0 done, 1 could not, 2 wrong usage (common practice, no source).
func TestHandCommandsExit(t *testing.T) {
	states := []string{"--start-height", "78.4cm", "--end-height", "59.4cm"}
	for _, c := range []struct {
		name string
		args []string
		want int
	}{
		{"balance", append([]string{"balance"}, append(wholeBench, states...)...), 0},
		{"plan", append([]string{"plan"}, wholeBench...), 0},
		{"no unit", append([]string{"plan", "--clearance", "5"}, wholeBench...), 1},
		{"impossible", append([]string{"plan", "--gravity", "3m/s2"}, wholeBench...), 1},
		{"missing", []string{"plan", "--bob-mass", "250g"}, 2},
		{"missing support", append(append([]string{"balance"}, wholeBench[:len(wholeBench)-2]...), states...), 2},
		{"missing state", append([]string{"balance"}, wholeBench...), 1},
		{"unknown option", []string{"plan", "--bob-colour", "red"}, 2},
		{"no such method", append([]string{"balance", "--method", "guess"}, wholeBench...), 2},
		{"half a place", append([]string{"plan", "--latitude", "53deg"}, wholeBench...), 2},
		{"two gravities", append([]string{"plan", "--latitude", "53deg", "--altitude", "3m", "--gravity", "9.81m/s2"}, wholeBench...), 2},
		{"an argument", []string{"balance", "bench.toml"}, 2},
	} {
		status, out, complaint := say(t, c.args...)
		if status != c.want || (status == 0) != (complaint == "") || (status == 0) == (out == "") {
			t.Errorf("%s: status %d, want %d; said %q and %q", c.name, status, c.want, out, complaint)
		}
	}
	_, _, complaint := say(t, "plan", "--bob-mass", "250g")
	if !strings.Contains(complaint, "bob length is missing: measure it and give it with --bob-length") {
		t.Errorf("said %q", complaint)
	}
}

// The examples of the help do what they say.
func TestHandExamplesRun(t *testing.T) {
	for _, command := range []string{"balance", "plan"} {
		_, help, _ := say(t, command, "--help")
		_, example, _ := strings.Cut(help, "Examples:\n")
		example, _, _ = strings.Cut(example, "\n\n")
		first, _, _ := strings.Cut(strings.ReplaceAll(example, "\\\n", ""), "\n")
		var args []string
		for i, quoted := range strings.Split(first, `"`) {
			if i%2 == 1 {
				args = append(args, quoted)
			} else {
				args = append(args, strings.Fields(quoted)...)
			}
		}
		if len(args) < 10 || args[1] != command {
			t.Fatalf("example of %s: %q", command, args)
		}
		if status, _, complaint := say(t, args[1:]...); status != 0 {
			t.Errorf("%q: %s", args, complaint)
		}
	}
}

// Whatever is typed, either one sentence comes back or a result, never a NaN, and JSON
// is JSON.
func TestHandCommandsNeverSayNaN(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 1))
	values := []string{"0", "1", "-1", "0.001", "1e-300", "1e300", "1e9", "250", "11.8", "96.5", "24.6", "9.81"}
	uncertainties := []string{"", "", " +- 1e-300%s", " +- 1e300%s", " +- 0.5%s", " +- 0.01%s dof=1", " read to 1%s", " +- 100%% k=2"}
	options := map[string][]string{
		"bob-mass": {"g", "kg"}, "bob-length": {"cm", "mm"}, "spring-mass": {"g", "kg"}, "natural-length": {"cm", "m"},
		"spring-rate": {"N/m", "N/cm"}, "initial-tension": {"N"}, "support-height": {"cm", "m"}, "gravity": {"m/s2"}, "rule": {""},
		"start-height": {"cm"}, "start-length": {"cm"}, "start-speed": {"m/s"}, "end-height": {"cm"}, "end-length": {"cm"},
		"end-speed": {"m/s"}, "hung-length": {"cm"}, "release": {"cm"}, "clearance": {"cm"}, "amplitude-ratio": {"%"},
		"clearance-seen": {"mm"}, "safe-extension": {"cm"}, "capacity": {"N"}, "latitude": {"deg"}, "altitude": {"m"},
	}
	names := make([]string, 0, len(options))
	for name := range options {
		names = append(names, name)
	}
	slices.Sort(names)
	done := map[string]int{}
	for range 1500 {
		command := []string{"balance", "plan"}[rng.IntN(2)]
		args := append([]string{command}, wholeBench...)
		if command == "balance" {
			args = append(args, "--start-height", "78.4cm", "--end-height", "59.4cm")
		}
		asJSON := rng.IntN(2) == 0
		if asJSON {
			args = append(args, "--json")
		}
		for range 1 + rng.IntN(3) {
			name := names[rng.IntN(len(names))]
			if _, help, _ := say(t, command, "--help"); !strings.Contains(help, "--"+name+" ") {
				continue
			}
			unit := options[name][rng.IntN(len(options[name]))]
			text := values[rng.IntN(len(values))] + unit
			if u := uncertainties[rng.IntN(len(uncertainties))]; strings.Contains(u, "%s") {
				text += fmt.Sprintf(u, unit)
			}
			args = append(args, "--"+name, text)
		}
		status, out, complaint := say(t, args...)
		if strings.Contains(out, "k = ") && !strings.Contains(out, "k = 1.96") && !strings.Contains(strings.Join(args, " "), "dof") {
			t.Errorf("%q: a coverage factor without few degrees of freedom:\n%s", args, out)
		}
		if strings.Contains(out, "NaN") || strings.Contains(out, "Inf") || strings.Contains(complaint, "NaN") {
			t.Fatalf("%q: status %d\n%s%s", args, status, out, complaint)
		}
		if sentences := strings.Count(strings.TrimSpace(complaint), "\n"); status == 1 && sentences != 0 || (status == 0) != (complaint == "") {
			t.Errorf("%q: status %d\n%s", args, status, complaint)
		}
		if status == 0 && asJSON && !json.Valid([]byte(out)) {
			t.Errorf("%q: no JSON:\n%s", args, out)
		}
		if status == 0 {
			done[command]++
		}
	}
	if done["balance"] < 50 || done["plan"] < 50 {
		t.Errorf("too few went through: %v", done)
	}
}

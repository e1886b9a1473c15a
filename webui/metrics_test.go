package webui

import (
	"flag"
	"net/http"
	"os"
	"regexp"
	"runtime"
	"strings"
	"testing"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/testutil"

	"joulewell/daq"
	"joulewell/energy"
	"joulewell/webui/live"
)

var update = flag.Bool("update", false, "renew testdata")

// volatile samples differ from run to run: their value is replaced by one letter.
var volatile = regexp.MustCompile(`(?m)^(joulewell_last_frame_age_seconds) .*$`)

func TestMetricsText(t *testing.T) {
	s := newSite(t)
	s.bench.publish(daq.Batch{Newest: 1, Frames: s.bench.frames()})
	answer, data := s.want(t, http.StatusOK, "GET", "/metrics", "")
	if typ := answer.Header.Get("Content-Type"); !strings.HasPrefix(typ, "text/plain; version=0.0.4") {
		t.Errorf("type %s", typ)
	}
	got := volatile.ReplaceAllString(strings.ReplaceAll(string(data), runtime.Version(), "GOVERSION"), "$1 A")
	const golden = "testdata/metrics.txt"
	if *update {
		if err := os.WriteFile(golden, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("metrics are\n%s\nwant\n%s\n(renew with -update)", got, want)
	}
	head, body := s.do(t, "HEAD", "/metrics", "")
	if head.StatusCode != http.StatusOK || len(body) != 0 {
		t.Errorf("HEAD is answered by %d and %d bytes", head.StatusCode, len(body))
	}
}

func testCollector(b *fakeBench) *collector {
	return &collector{b.Status, live.NewHub(live.Options{Status: b.Status}), "0.1.0", nil, nil}
}

// forbidden are units and words that the linter lets pass, by the naming rules of the
// exposition format's authors: base units only, spelt out.
var forbidden = regexp.MustCompile(`_(mm|cm|m|ms|us|ns|s|n|j|mj|ppm|percent|celsius_degrees|g|kg|hz|count|info_total)(_|$)|[A-Z]`)

func TestMetricNames(t *testing.T) {
	registry := prometheus.NewPedanticRegistry()
	registry.MustRegister(testCollector(newFakeBench()))
	problems, err := testutil.GatherAndLint(registry)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range problems {
		t.Errorf("%s: %s", p.Metric, p.Text)
	}
	families, err := registry.Gather()
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range families {
		if name := f.GetName(); forbidden.MatchString(name) || !strings.HasPrefix(name, "joulewell_") {
			t.Errorf("%s: not a name in base units, or not ours", name)
		}
		if n := len(f.GetMetric()); n > 20 {
			t.Errorf("%s has %d samples: its labels are not bounded", f.GetName(), n)
		}
	}
	if !forbidden.MatchString("joulewell_height_mm") || forbidden.MatchString("joulewell_energy_joules") {
		t.Error("the list of forbidden words forbids the wrong ones")
	}
}

// What is not known now has no sample: a value that stays on a screen for ever is
// worse than none.
func TestStaleMetricsAreAbsent(t *testing.T) {
	b := newFakeBench()
	c := testCollector(b)
	for _, step := range []struct {
		name   string
		change func(*daq.Status)
		metric string
		want   int
	}{
		{"all is known", func(*daq.Status) {}, "joulewell_energy_joules", 4},
		{"skew is known", func(*daq.Status) {}, "joulewell_clock_skew_ratio", 1},
		{"no frame has come", func(*daq.Status) {}, "joulewell_last_frame_age_seconds", 0},
		{"no kinetic energy", func(st *daq.Status) { st.Last.Energies.Kinetic = energy.None() }, "joulewell_energy_joules", 3},
		{"not fresh", func(st *daq.Status) { st.Fresh = false }, "joulewell_energy_joules", 0},
		{"not fresh", func(*daq.Status) {}, "joulewell_height_meters", 0},
		{"not fresh", func(*daq.Status) {}, "joulewell_force_newtons", 0},
		{"not fresh", func(*daq.Status) {}, "joulewell_device_opens_total", 1},
		{"skew is unknown", func(st *daq.Status) { st.ClockKnown = false }, "joulewell_clock_skew_ratio", 0},
	} {
		b.set(step.change)
		if got := testutil.CollectAndCount(c, step.metric); got != step.want {
			t.Errorf("%s: %d samples of %s, want %d", step.name, got, step.metric, step.want)
		}
	}
}

// However fast the bench changes, the total scraped is the sum of the parts scraped.
func TestScrapedTotalIsTheSum(t *testing.T) {
	b := newFakeBench()
	registry := prometheus.NewRegistry()
	registry.MustRegister(testCollector(b))
	stop, changed := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(changed)
		for i := 1; ; i++ {
			select {
			case <-stop:
				return
			default:
			}
			v := float64(i)
			e := func(v float64) energy.Estimate { return energy.Estimate{Value: v} }
			b.set(func(st *daq.Status) {
				st.Last.Energies = energy.Energies{Kinetic: e(v), Elastic: e(2 * v), Gravitational: e(4 * v), Total: e(7 * v)}
			})
		}
	}()
	for range 200 {
		families, err := registry.Gather()
		if err != nil {
			t.Fatal(err)
		}
		sum := map[string]float64{}
		for _, f := range families {
			if f.GetName() == "joulewell_energy_joules" {
				for _, m := range f.GetMetric() {
					sum[m.GetLabel()[0].GetValue()] = m.GetGauge().GetValue()
				}
			}
		}
		if sum["kinetic"]+sum["elastic"]+sum["gravitational"] != sum["total"] || sum["total"] == 0 {
			t.Fatalf("scraped %v: the total is not the sum", sum)
		}
	}
	close(stop)
	<-changed
}

package webui

import (
	"os"
	"os/exec"
	"regexp"
	"strings"
	"testing"

	"github.com/prometheus/client_golang/prometheus"
)

// The alert rules speak of metrics that exist.
func TestAlertsNameRealMetrics(t *testing.T) {
	text, err := os.ReadFile("alerts.yml")
	if err != nil {
		t.Fatal(err)
	}
	descriptions := make(chan *prometheus.Desc, 100)
	testCollector(newFakeBench()).Describe(descriptions)
	close(descriptions)
	var all strings.Builder
	for d := range descriptions {
		all.WriteString(d.String())
	}
	named := regexp.MustCompile(`joulewell_[a-z_]+`).FindAllString(string(text), -1)
	if len(named) < 6 {
		t.Fatalf("metrics named by the rules: %q", named)
	}
	for _, name := range named {
		if !strings.Contains(all.String(), `"`+name+`"`) {
			t.Errorf("the rules speak of %s, which does not exist", name)
		}
	}
}

// The monitoring system's own checker takes the rules.
func TestAlertsPassTheChecker(t *testing.T) {
	promtool, err := exec.LookPath("promtool")
	if err != nil {
		if os.Getenv("JOULEWELL_NEED_PROMTOOL") != "" {
			t.Fatal("promtool is missing")
		}
		t.Skip("promtool is not here: the alert rules are not checked by it")
	}
	if out, err := exec.Command(promtool, "check", "rules", "alerts.yml").CombinedOutput(); err != nil {
		t.Errorf("promtool: %v\n%s", err, out)
	}
}

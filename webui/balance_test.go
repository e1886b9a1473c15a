package webui

import (
	"encoding/json"
	"math"
	"net/http"
	"strings"
	"testing"

	"joulewell/energy/balance"
)

// What the API offers as readings can be sent back as it is; with two heights it makes a
// comparison, whose loss is that of the plain formulas.
func TestBalance(t *testing.T) {
	s := newSite(t)
	_, body := s.want(t, 200, "GET", "/api/balance", "")
	var offered struct {
		Fields []balanceField `json:"fields"`
	}
	if err := json.Unmarshal(body, &offered); err != nil {
		t.Fatal(err)
	}
	readings := map[string]string{"start-height": "0.80 m", "end-height": "0,62 m"}
	for _, f := range offered.Fields {
		if f.Reading != "" {
			readings[f.Name] = f.Reading
		}
	}
	request, _ := json.Marshal(map[string]any{"readings": readings})
	_, body = s.want(t, 200, "POST", "/api/balance", string(request), asJSON...)
	var report balance.Report
	if err := json.Unmarshal(body, &report); err != nil {
		t.Fatal(err)
	}
	const g, k = 9.8123, 25
	x := func(h float64) float64 { return 1 - h - 0.06 - 0.12 }
	potential := func(h float64) float64 {
		return k*x(h)*x(h)/2 + 0.25*g*h + 0.01*g*(1-(x(h)+0.12)/2)
	}
	want := potential(0.80) - potential(0.62)
	if off := report.Loss.Value - want; math.Abs(off) > report.Loss.U/10 || !(report.Loss.U > 0) {
		t.Errorf("loss %g J, want %g J (the lines with coil waves are within u = %g)", report.Loss.Value, want, report.Loss.U)
	}
	const place = `{"readings":{"start-height":"0.80 m","end-height":"0.62 m","latitude":"45 deg","altitude":"0 m"}}`
	if _, body := s.want(t, 200, "POST", "/api/balance", place, asJSON...); !strings.Contains(string(body), "gravity by latitude and altitude is 9.806") { // 9.80620 m/s2 at 45 deg (GRS 80)
		t.Errorf("by place: %s", body)
	}
	for body, want := range map[string]string{
		`{"readings":{"start-height":"0.8 kg"}}`:                                       "start-height",
		`{"readings":{"lenght":"0.8 m"}}`:                                              "no reading lenght",
		`{"readings":{"start-height":"0.8 m"}}`:                                        "End: neither height nor length is given",
		`{"readings":{"start-height":"0.8m","end-height":"30m"}}`:                      "shorter than its natural length",
		`{"readings":{"bob-mass":"","start-height":"0.8m"}}`:                           "Bob mass is missing",
		`{"readings":{"start-height":"0.8m"},"method":"guess"}`:                        "method",
		`{"readings":{"latitude":"53.4 deg"}}`:                                         "Altitude is not given",
		`{"readings":{"latitude":"53.4 deg","altitude":"30 m","gravity":"9.81 m/s2"}}`: "give one of them",
		`{"readings":{"latitude":"99 deg","altitude":"30 m"}}`:                         "between -90 and 90 deg",
	} {
		status := http.StatusUnprocessableEntity
		if strings.Contains(body, "kg") || strings.Contains(body, "lenght") || strings.Contains(body, "guess") {
			status = http.StatusBadRequest
		}
		_, answer := s.want(t, status, "POST", "/api/balance", body, asJSON...)
		if !strings.Contains(string(answer), want) {
			t.Errorf("%s is answered by %s, want %q", body, answer, want)
		}
	}
}

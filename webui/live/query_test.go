package live

import (
	"net/url"
	"strings"
	"testing"
	"time"
)

func TestParseQuery(t *testing.T) {
	for _, c := range []struct {
		query   string
		period  time.Duration
		columns string
		ack     bool
	}{
		{"", time.Second / 60, "distance_m,force_N,extension_m,height_m,velocity_m_s,kinetic_J,elastic_J,gravitational_J,total_J,u_kinetic_J,u_elastic_J,u_gravitational_J,u_total_J", false},
		{"rate=1&channels=height_m&ack=yes", time.Second, "height_m", true},
		{"rate=120&channels=total_J,raw_echo_us,total_J&ack=no", time.Second / 120, "raw_echo_us,total_J", false},
		{"rate=all&channels=force_N", 0, "force_N", false},
	} {
		values, _ := url.ParseQuery(c.query)
		q, err := ParseQuery(values)
		if err != nil {
			t.Errorf("%q: %v", c.query, err)
			continue
		}
		var names []string
		for _, column := range q.Subscription.columns() {
			names = append(names, column.Name)
		}
		if got := strings.Join(names, ","); q.Subscription.period() != c.period || got != c.columns || q.Ack != c.ack {
			t.Errorf("%q: period %v, columns %s, ack %v; want %v, %s, %v", c.query, q.Subscription.period(), got, q.Ack, c.period, c.columns, c.ack)
		}
	}
}

func TestParseQueryRefuses(t *testing.T) {
	for query, want := range map[string]string{
		"rate=0":                   "whole number from 1 to 120, or all",
		"rate=121":                 "whole number from 1 to 120, or all",
		"rate=":                    "whole number from 1 to 120, or all",
		"rate=1.5":                 "whole number from 1 to 120, or all",
		"rate=ALL":                 "whole number from 1 to 120, or all",
		"rate=60&rate=60":          "give it once",
		"channels=":                "the channels are raw_echo_us, ",
		"channels=height_m,speed":  `channel "speed" is unknown`,
		"channels=height_m,,":      "the channels are",
		"ack=maybe":                "must be yes or no",
		"fps=60":                   "rate, channels and ack are known",
		"rate=60&Channels=force_N": "rate, channels and ack are known",
	} {
		values, _ := url.ParseQuery(query)
		if _, err := ParseQuery(values); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want ...%s...", query, err, want)
		}
	}
}

package main

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"joulewell/daq/virtual"
)

// moments are when faults that come at one moment do, after the run has begun; none = a
// fault of all the time.
var moments = map[string]string{
	"stuck-range": "=1@4", "stuck-load": "=1@4", "half-rate": "=1@4", "double-rate": "=1@4", "reset": "=0.5@4",
	"new-field-order": "=0.5@4", "freeze": "=1.5@3", "time-jump-back": "@4", "latency-burst": "@4", "clock-wrap": "=5",
}

// shows are those that a page must show while they last.
var shows = map[string]func(*state) bool{
	"freeze": func(s *state) bool { return s.Link == "silent" && !s.Fresh },
}

// TestFaultsOfTheDevice plays every fault of the simulated device through a real terminal
// into a real daemon: by itself where JOULEWELL_BENCHES asks for whole campaigns, else
// several at a time.
func TestFaultsOfTheDevice(t *testing.T) {
	if testing.Short() {
		t.Skip("short: the faults around the daemon are played, those of the device not")
	}
	n, together := campaigns(t), 1
	if n == 1 {
		together = 8
	}
	var groups [][]string
	for _, f := range virtual.Faults() {
		if f.Name == "no-fields" || f.Name == "freeze" {
			groups = append([][]string{{f.Name}}, groups...) // nothing gets through besides them
			continue
		}
		if last := len(groups) - 1; last < 0 || len(groups[last]) >= together || shows[groups[last][0]] != nil || groups[last][0] == "no-fields" {
			groups = append(groups, nil)
		}
		groups[len(groups)-1] = append(groups[len(groups)-1], f.Name)
	}
	for seed := range n {
		for _, g := range groups {
			t.Run(fmt.Sprintf("%s %d", strings.Join(g, " "), seed), func(t *testing.T) {
				t.Parallel()
				deviceFaults(t, seed, g)
			})
		}
	}
}

func deviceFaults(t *testing.T, seed int, names []string) {
	var faults []string
	for _, name := range names {
		faults = append(faults, name+moments[name])
	}
	p := barePlant(t)
	p.plugIn(seed, faults...)
	p.open()
	if names[0] == "no-fields" {
		unreadable(t, p)
		return
	}
	p.await(15*time.Second, "live readings", func(s *state) bool { return s.Link == "live" && s.Fresh })
	p.record(func() {
		if show := shows[names[0]]; show != nil {
			p.sees(10*time.Second, "what is the case", show)
		}
		p.rows(300)
		p.await(15*time.Second, "readings", func(s *state) bool { return s.Link == "live" && s.Fresh })
	})
	p.whole(1)
	p.leaves()
}

// unreadable is a device whose lines nobody can read: it is said, with what to do, and no
// run begins.
func unreadable(t *testing.T, p *plant) {
	p.sees(10*time.Second, "the unreadable line", func(s *state) bool { return s.Link == "unreadable" && !s.Fresh })
	if why := p.refuses("start"); !strings.Contains(why, "No readings") {
		t.Errorf("start: %s", why)
	}
	p.leaves()
}

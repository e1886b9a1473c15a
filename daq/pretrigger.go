package daq

import (
	"sort"
	"time"
)

// PreTrigger is how far a run reaches back before its start command.
const PreTrigger = 2 * time.Second

// Reach is how far a run may reach back where whoever starts it asks for more.
const Reach = 8 * time.Second

// preTrigger keeps the readings of the last moments, oldest first from start on.
type preTrigger struct {
	span  int64 // [ns]
	ring  []Timed
	start int
	count int
}

func newPreTrigger(span time.Duration) preTrigger {
	return preTrigger{span: int64(span), ring: make([]Timed, 256)}
}

// at returns the i-th oldest reading kept.
func (p *preTrigger) at(i int) *Timed { return &p.ring[(p.start+i)%len(p.ring)] }

// since returns the place of the oldest reading kept that is not before the instant t [ns].
func (p *preTrigger) since(t int64) int {
	return sort.Search(p.count, func(i int) bool { return p.at(i).T >= t })
}

func (p *preTrigger) add(r *Timed) {
	for p.count > 0 && p.at(0).T < r.T-p.span {
		p.start = (p.start + 1) % len(p.ring)
		p.count--
	}
	if p.count == len(p.ring) {
		p.grow()
	}
	*p.at(p.count) = *r
	p.count++
}

func (p *preTrigger) grow() {
	larger := make([]Timed, 2*len(p.ring))
	for i := range p.count {
		larger[i] = *p.at(i)
	}
	p.ring, p.start = larger, 0
}

package daq

// publish makes a new status of the bench's state.
func (b *Bench) publish() {
	now := b.opt.Clock()
	b.link.check(now)
	s := &Status{
		Bench:      b.Setup().Name,
		Setup:      b.Setup(),
		Source:     b.opt.Source.Describe(),
		Virtual:    b.virtual(),
		Link:       b.link.link,
		LinkDetail: b.link.detail,
		Port:       b.link.port,
		Since:      b.link.since,
		Now:        now,
		Epoch:      b.epoch,
		Opens:      b.link.opens,
		Rate:       b.link.rate.value,
		Lines:      b.decoder.Counts(),
		Misplaced:  b.refused,
		Lag:        b.Setup().Motion.Lag,
		Newest:     b.newest.Reading.Seq,
		Fresh:      b.link.fresh(now) && b.hasLast && b.newest.T-b.last.T < int64(quiet),
		Run:        b.run.recording(b.newest.T),
	}
	s.ClockPPM, s.ClockU, s.ClockKnown = b.aligner.Skew()
	if b.hasLast {
		s.Last = b.last
	}
	b.status.Store(s)
}

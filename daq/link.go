package daq

import "time"

// quiet is how long nothing may arrive before the line counts as silent: with the next
// status and its way to the viewers it is told within a second.
const quiet = 600 * time.Millisecond

// linkState follows the line to the device.
type linkState struct {
	link   Link
	detail string
	port   string
	since  time.Duration
	opens  uint64

	openedAt time.Duration
	bytesAt  time.Duration // last bytes of any kind
	readAt   time.Duration // last accepted reading
	anyBytes bool          // since the open
	anyRead  bool
	accepted uint64

	rate rateMeter
}

func newLinkState(now time.Duration) linkState {
	return linkState{link: Waiting, detail: "looking for the device", since: now}
}

func (l *linkState) set(link Link, detail string, now time.Duration) {
	if l.link != link {
		l.since = now
	}
	l.link, l.detail = link, detail
}

func (l *linkState) opened(now time.Duration, name string) {
	l.port, l.openedAt = name, now
	l.anyBytes, l.anyRead = false, false
	l.opens++
	l.set(Opening, "", now)
}

func (l *linkState) lost(now time.Duration, reason error) {
	l.port = ""
	l.set(Waiting, sentence(reason), now)
}

func (l *linkState) ended(now time.Duration, reason error) {
	l.set(Finished, sentence(reason), now)
}

func (l *linkState) heard(now time.Duration) { l.bytesAt, l.anyBytes = now, true }

// read notes an accepted reading, which came by the link of that name, and reports
// whether that changed the state.
func (l *linkState) read(now time.Duration, by Link) bool {
	l.readAt, l.bytesAt, l.anyBytes, l.anyRead = now, now, true, true
	l.accepted++
	if l.link == by {
		return false
	}
	l.set(by, "", now)
	return true
}

// check looks for silence; called whenever a status is made.
func (l *linkState) check(now time.Duration) {
	l.rate.note(now, l.accepted)
	if l.link == Waiting || l.link == Replaying || l.link == Finished {
		return
	}
	lastRead, lastBytes := l.openedAt, l.openedAt
	if l.anyRead {
		lastRead = l.readAt
	}
	if l.anyBytes {
		lastBytes = l.bytesAt
	}
	switch {
	case now-lastRead < quiet:
	case now-lastBytes < quiet:
		l.set(Unreadable, "bytes arrive, but no line of them can be read: check the bit rate, and that the device sends a #fields line", now)
	default:
		l.set(Silent, "the port is open, but nothing arrives: check that the device is powered and its program runs", now)
	}
}

// fresh reports whether readings arrive right now.
func (l *linkState) fresh(now time.Duration) bool {
	return (l.link == Live || l.link == Replaying) && now-l.readAt < quiet
}

func sentence(err error) string {
	if err == nil {
		return ""
	}
	return err.Error()
}

// rateMeter measures readings per second over about the last second.
type rateMeter struct {
	at    [5]time.Duration
	count [5]uint64
	next  int
	value float64
}

func (r *rateMeter) note(now time.Duration, count uint64) {
	newest := (r.next + len(r.at) - 1) % len(r.at)
	if now-r.at[newest] < statusEvery/2 {
		return // a status out of turn
	}
	oldest := r.next
	if span := (now - r.at[oldest]).Seconds(); span > 0 {
		r.value = float64(count-r.count[oldest]) / span
	}
	r.at[r.next], r.count[r.next] = now, count
	r.next = (r.next + 1) % len(r.at)
}

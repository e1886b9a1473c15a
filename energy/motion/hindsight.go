package motion

// Hindsight: which degree and which window would have served best of late?
//
// Time is cut into cells, and the points of each are summed up once. At each boundary
// between two cells the velocity is worked out as it is live, by polynomials of each
// degree in windows of each length; and once more when the points after it are there, by
// a polynomial of degree 5 on both sides, which hardly flattens anything. By how much
// more a choice differs from this reference than noise makes it, is what it does to the
// velocity. That and the noise it lets through, averaged over the last second, are its
// risk, by which the choices are ranked (rank.go).
//
// The latest boundaries have points up to the lag only. Their reference is one-sided, and
// counts by as much less as its noise is larger.

const (
	cell        = 30_000_000 // [ns]
	cellSeconds = cell * 1e-9
	looks       = 36 // boundaries the risk is averaged over
	history     = 64 // boundaries remembered

	leastTerms, mostTerms = 2, 5
	lengths               = 7
	choices               = (mostTerms - leastTerms + 1) * lengths

	sides  = 6 // cells on either side of a boundary in its reference's window
	shared = 3 // index of the longest window that reaches back no farther
)

// back is how far windows reach back from a boundary, in cells.
var back = [lengths]int64{2, 3, 4, 6, 8, 12, 16}

// choice is a degree and a window.
type choice int

func (c choice) terms() int  { return leastTerms + int(c)/lengths }
func (c choice) length() int { return int(c) % lengths }

// boundary is the instant k cells after zero, and what is known of it. Sums are about
// that instant and count time in cells.
type boundary struct {
	k      int64
	looked bool
	known  bool  // before is known, if only that there are no points
	since  int64 // [ns] when the last silence before the cell ended
	before sums  // points of the cell before

	fair  bool             // the points around were judged in time, and the rest holds
	ahead sums             // points up to the lag after
	cells [lengths]sums    // points before, of each length
	slope [choices]float64 // [m/cell]
	gain  [choices]float64 // variance of slope for points of variance 1, 0 where there is none
	row   [choices][maxTerms]float64
	judge judgement

	ranks int              // number of choices ranked
	rank  [choices]choice  // from the least risk up
	risk  [choices]float64 // [m2/cell2]
	stray [choices]float64 // [m2/cell2] the part of it that is not noise
	noise float64          // [m2] variance of one point, of late
}

// hindsight remembers the last boundaries. What it holds of one depends on points of the
// last two seconds only.
type hindsight struct {
	stated float64 // [m2] variance of one point
	front  int64   // cells ahead of a boundary that the lag spans
	begun  bool
	next   int64 // boundary to be looked at next
	ring   [history]boundary
}

func (h *hindsight) at(k int64) *boundary {
	if b := &h.ring[uint64(k)%history]; b.looked && b.k == k {
		return b
	}
	return nil
}

// due reports whether a boundary up to t is still to be looked at, the first points being
// at start.
func (h *hindsight) due(t, start int64) bool {
	last := floor(t, cell)
	if !h.begun {
		clear(h.ring[:])
		h.begun, h.next = true, floor(start, cell)+1
	}
	h.next = max(h.next, last-history+1)
	return h.next <= last
}

// look takes the boundary k, around which w holds the points, judged to be good or left
// out if fair.
func (h *hindsight) look(k int64, w *window, fair bool) {
	b := &h.ring[uint64(k)%history]
	*b = boundary{k: k, looked: true}
	if fair && !w.cut {
		b.fair = true
		h.fill(k, w)
		b.ahead.base = w.base
		b.ahead.addFrom(w, k*cell, (k+h.front)*cell, k*cell)
		h.try(b)
		h.review(b)
	}
	h.order(b)
}

// review judges an earlier boundary by the points on both sides of it, of which those ahead
// of b are the last.
func (h *hindsight) review(b *boundary) {
	late := h.at(b.k - sides + h.front)
	if late == nil || !late.fair {
		return
	}
	m := sums{base: b.ahead.base}
	m.join(&b.ahead, float64(b.k-late.k))
	if h.gather(&m, late.k, b.k, late.k-sides, b.since) {
		late.compare(&m)
	}
}

// fill sums up the cells of the window that end at k or before, unless that was done.
func (h *hindsight) fill(k int64, w *window) {
	for c := max(floor(w.times[0], cell)+1, k-history/4); c <= k; c++ {
		b := h.at(c)
		if b == nil || b.known || c < k && w.times[0] > (c-1)*cell && w.times[0] != w.since {
			continue
		}
		b.known, b.since = true, w.since
		b.before = sums{base: w.base}
		b.before.addFrom(w, (c-1)*cell, c*cell, c*cell)
	}
}

// gather joins to m, which is about the boundary about, the cells from one boundary back to
// another. It reports whether all are known and not parted by a silence.
func (h *hindsight) gather(m *sums, about, from, to int64, since int64) bool {
	for c := from; c > to; c-- {
		b := h.at(c)
		if b == nil || !b.known || b.since != since {
			return false
		}
		m.join(&b.before, float64(c-about))
	}
	return true
}

// try works out all choices at b.
func (h *hindsight) try(b *boundary) {
	m := sums{base: b.ahead.base}
	var reference sums
	from, whole := b.k, true
	for l, length := range back {
		if whole {
			whole = h.gather(&m, b.k, from, b.k-length, b.since)
			from = b.k - length
		}
		b.cells[l] = m
		all := b.ahead
		all.join(&m, 0)
		b.fitAll(l, &all)
		if l == shared {
			reference = all
		}
	}
	b.compare(&reference)
}

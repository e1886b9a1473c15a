// Package drift answers: has this sensor moved since it was calibrated?
//
// In: check standards read now and then ([Record]: a check mass on the cell, the empty
// cell, the bob at rest at a height measured with a rule), kept in a book that is only
// ever added to ([Append], [Load]); or the readings of an idle bench as they come
// ([ZeroWatch]). Out: the drift rate and what the temperature does ([Trend]), the drift of
// zero and span apart ([History.SpanDrift]), and a [Verdict] with its reason.
//
// The deviation of a record is its indication less its reference value. It is never
// corrected, and no record is dropped. Records of different standards are not charted
// together: refused, as are too few, out of order, not finite.
//
// Subpackages: chart (has a row of values moved?) and allan (how long to average, when
// does the zero walk?). File access is in book.go alone; the rest takes times and readings
// as they are handed in.
package drift

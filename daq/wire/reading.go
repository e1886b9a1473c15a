package wire

// Reading is one accepted line: what the device saw, in the device's own units.
// A column that the line left empty, or that the device does not have, is absent.
type Reading struct {
	Seq      uint32               // [1] line number, wraps at 2^16 or 2^32
	DeviceUs uint32               // [us] device time at which the values were taken, wraps at 2^32
	Values   [ColumnCount]float64 // [column's own] indexed by Column; meaningless where absent
	present  uint16
}

// Has reports whether the line carried a value in column c.
func (r *Reading) Has(c Column) bool { return r.present&(1<<c) != 0 }

// Load returns the indication of the load cell, in counts or in newtons as the sensor
// states it, and whether there is one. Counts go before newtons.
func (r *Reading) Load() (indication float64, ok bool) {
	for _, c := range [...]Column{LoadCounts, LoadN} {
		if r.Has(c) {
			return r.Values[c], true
		}
	}
	return 0, false
}

// Empty reports whether the line carried no value besides its number and time: the
// device looked and saw nothing.
func (r *Reading) Empty() bool { return r.present&^(1<<Seq|1<<DeviceUs) == 0 }

// Set stores v in column c and marks it present. The numbers of [Seq] and
// [DeviceUs] stand in the fields of these names; setting their columns changes
// nothing but what Has reports.
func (r *Reading) Set(c Column, v float64) {
	r.Values[c] = v
	r.present |= 1 << c
}

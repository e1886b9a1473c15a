package virtual

// still is the bench in the hands of a technician who calibrates it: nothing swings, a
// load hangs on the cell, and what the ranger sees stands at a height.
type still struct {
	height float64 // [m] of the bob's lowest point above the floor
	load   float64 // [N] on the cell
}

// Set lets a technician set the bench: from now on the sensors see, with their noise and
// faults, a bob at rest whose lowest point is at a height [m], and a load [N] on the cell.
// It may be called from anywhere at any time.
func (d *Device) Set(height, load float64) { d.still.Store(&still{height, load}) }

// Leave lets the sensors see the swinging bob again, which has moved on meanwhile.
func (d *Device) Leave() { d.still.Store(nil) }

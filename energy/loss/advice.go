package loss

import (
	"fmt"
	"math"
)

// scatterName is what the budget calls the turning points.
const scatterName = "scatter of the turning points"

// betters says what would make the uncertainty from an input smaller.
var betters = map[string]string{
	scatterName:                "let it swing longer, or read the distance more often or with less noise",
	sharedNames[ofRate]:        "measure the spring's rate better",
	sharedNames[ofBobMass]:     "weigh the bob better",
	sharedNames[ofSpringMass]:  "weigh the spring better",
	sharedNames[ofGravity]:     "find out gravity at this place, latitude and altitude will do",
	sharedNames[ofTension]:     "measure the spring's force at small extensions better",
	sharedNames[ofOffset]:      "measure the support's height, the spring's natural length, the bob's length and the sensor's place better",
	sharedNames[ofScale]:       "calibrate the distance over the whole way of the bob",
	sharedNames[ofLoopNoise]:   "take a load cell with less noise, or more cycles",
	sharedNames[ofLoopShared]:  "calibrate the delay between force and distance",
	sharedNames[ofLoopWaves]:   "take a lighter spring or a heavier bob: no reading betters what waves in the coils do",
	sharedNames[ofDrag]:        "measure the bob's size and state its shape",
	sharedNames[ofCoilsBefore]: "take a lighter spring or a heavier bob: no reading betters what waves in the coils hide",
	sharedNames[ofCoilsAfter]:  "take a lighter spring or a heavier bob: no reading betters what waves in the coils hide",
}

// Advice says what to better first for a surer loss, and what that would bring at
// coverage factor 2. It is empty where no input has an uncertainty.
func (l *Ledger) Advice() string {
	if len(l.Budget) == 0 || !(l.Budget[0].U > 0) {
		return ""
	}
	first := l.Budget[0]
	halved := math.Sqrt(max(0, l.Lost.U*l.Lost.U-0.75*first.U*first.U))
	return fmt.Sprintf("%s: were the part of %s half as large, ± %s would become ± %s", betters[first.Input], first.Input,
		amount(Coverage*l.Lost.U, 2), amount(Coverage*halved, 2))
}

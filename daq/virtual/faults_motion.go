package virtual

import "joulewell/calib"

// motionFaults are mistakes of the person at the apparatus. They are part of the bench.
var motionFaults = []spec{
	{
		Fault: Fault{"push", "the bob is let go with a push downward", 0.1, "m/s"},
		kind:  built,
		shape: func(c *Config, v float64) { c.Hand.Push = v },
	},
	{
		Fault: Fault{"floor-hit", "the support is so low that the bob would get this far below the floor", 0.04, "m"},
		kind:  built,
		shape: lowerSupport,
	},
	{
		Fault: Fault{"sway", "the bob swings sideways with this amplitude, which lengthens the path of the sound", 0.1, "rad"},
		kind:  built,
		shape: func(c *Config, angle float64) { c.Ranger.Sway = angle },
	},
}

// lowerSupport puts the support where a fall without losses would end depth below the
// floor. A sensor at the support comes down with it.
func lowerSupport(c *Config, depth float64) {
	lowered := c.Spring.NaturalLength + c.Bob.Length + c.lowest() - depth
	if c.Ranger.Mounting == calib.Support {
		c.Ranger.Position += lowered - c.Support
	}
	c.Support = lowered
	if c.Losses.Restitution == 0 {
		c.Losses.Restitution = 0.4
	}
}

// lowest returns the largest extension [m] of a fall without losses, from the balance
// of energies of a light spring.
func (c *Config) lowest() float64 {
	k := newChain(c)
	hanging, _ := k.stretch(0)
	middle, _ := k.stretch(c.Bob.Mass * c.Gravity)
	start := hanging + c.Hand.Pull
	return middle + max(middle-start, start-middle)
}

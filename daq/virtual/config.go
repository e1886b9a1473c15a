package virtual

import "joulewell/calib"

// Config says how a simulated bench truly is. It is a plain value: copy it and
// change the copy. [Default], [Quiet], [Lossless] and [Random] return complete ones.
type Config struct {
	Name        string // of the bench
	SpringLabel string
	BobLabel    string
	Seed        uint64 // [1] of all that is random; the same Config gives the same bytes

	Spring  Spring
	Bob     Bob
	Support float64 // [m] height above the floor of the point that holds the spring's top
	Gravity float64 // [m/s2]
	Losses  Losses
	Hand    Hand

	Air         Air
	Ranger      Ranger
	Load        LoadCell
	Thermometer Thermometer
	Clock       Clock
	Line        Line

	Known  Known
	Faults []Injected // what goes wrong; see [Faults]; never written to

	Step float64 // [s] longest integration step; 0 = from the stiffest mode of the chain
}

// Spring is a helical spring as a chain of coils.
type Spring struct {
	Mass           float64 // [kg] of the whole spring; below a ten-thousandth of the bob's the chain is one coil without waves
	NaturalLength  float64 // [m] lying unloaded
	Rate           float64 // [N/m] of the whole spring, every coil open
	InitialTension float64 // [N] force at which a coil opens; 0 = coils that never touch
	Coils          int     // [1] links of the chain, at least 1
	Contact        float64 // [1] stiffness of a closed coil over that of an open one, above 1; unused without initial tension
}

// Bob is what hangs below the spring.
type Bob struct {
	Mass   float64 // [kg]
	Length float64 // [m] from the spring's lower end to the bob's lowest point
}

// Losses are the ways out for mechanical energy. Each has its account in [Truth].
type Losses struct {
	Viscous     float64 // [N s/m] drag on the bob per velocity
	Quadratic   float64 // [N s2/m2] drag on the bob per velocity squared
	Sliding     float64 // [N] dry friction on the bob, sticking included
	Internal    float64 // [N s/m] Kelvin-Voigt loss of the whole spring: force per rate of extension
	Restitution float64 // [1] rebound speed over speed of impact on the floor, 0 to 1
}

// Hand is the person: holds the bob at rest, lets it go and, when Period is set,
// catches it near an upper turning point, carries it back and starts again.
type Hand struct {
	Pull   float64 // [m] how far below the end of the spring hanging by itself the bob is let go; 0 = hook just touching
	Hold   float64 // [s] from the start of a cycle to the release
	Push   float64 // [m/s] velocity given at the release, positive downward
	Period float64 // [s] from release to release; 0 = released once and left alone
	Carry  float64 // [s] taken to carry the bob back
}

// Air is the state of the air in which the sound travels.
type Air struct {
	Temperature float64 // [Cel] at the start
	Warming     float64 // [K/s] by which it rises
	Humidity    float64 // [%] relative
}

// Ranger is the distance sensor.
type Ranger struct {
	Optical    bool           // states millimetres at the instant of its stamp, instead of timing a sound
	Mounting   calib.Mounting // from where it looks
	Position   float64        // [m] height of the sensor's face above the floor
	Rate       float64        // [1/s] of the device clock: echoes or optical ranges
	Noise      float64        // [m] standard deviation of one distance
	Resolution float64        // [m] step of a stated distance; an echo is counted in microseconds
	Min        float64        // [m] nearer than this it sees nothing
	Max        float64        // [m] farther than this it hears nothing
	Lost       float64        // [1] share of echoes that are not heard
	Outliers   float64        // [1] share of echoes off something else
	Delay      float64        // [s] by which an optical range is older than its stamp
	Scale      float64        // [1] true distance over stated one, besides the clock's part
	Sway       float64        // [rad] amplitude of a lateral swing that lengthens the path to the bob
}

// LoadCell is the bridge and its converter, tared without the spring on it.
type LoadCell struct {
	Newtons    bool    // states newtons instead of counts
	Paired     bool    // converts at the instants of the optical ranger, on the same lines; Rate is then unused
	Rate       float64 // [1/s] nominal
	RateOffset float64 // [1] relative deviation of the converter's own oscillator
	Noise      float64 // [N] standard deviation of one conversion
	Zero       float64 // [counts] indication with nothing but its fittings on it; [N] for a cell that states newtons
	Span       float64 // [N/count]; [1] for a cell that states newtons
	Resolution float64 // [N] step of a stated force; counts are whole
	Drift      float64 // [N] amplitude of the slow thermal wander
	DriftTime  float64 // [s] period of the wander
}

// Thermometer reports the temperature of the air.
type Thermometer struct {
	Period   float64 // [s] between reports; 0 = there is none
	Offset   float64 // [K] by which it shows too much
	Noise    float64 // [K] standard deviation of one report
	Humidity bool    // reports relative humidity too
}

// Clock is the device's microsecond counter and line counter.
type Clock struct {
	PPM     float64 // [ppm] rate against true time, positive = fast
	Drift   float64 // [ppm/s] by which PPM grows
	Start   uint32  // [us] count at power-up
	SeqBits int     // [1] width of the line counter: 16 or 32
	Late    float64 // [s] longest delay of a stamp behind the instant it stands for
}

// Line is the way of the bytes to the host.
type Line struct {
	Baud   float64 // [bit/s], ten bits to the byte; 0 = no time is spent on the line
	Batch  float64 // [s] latency timer of a bridge that hands over in batches; 0 = none
	Split  float64 // [1] share of lines that arrive in two pieces
	Jitter float64 // [s] mean of the (exponential) time from a value to the start of its line
	Boot   float64 // [s] from power-up to the first line
	Silent bool    // never announces its fields
}

// Known holds the standard uncertainties with which the people at the bench know it;
// see [Setup].
type Known struct {
	Perturbed      bool    // the setup's values are off by a draw from these, by Seed; else they are exact
	BobMass        float64 // [kg]
	BobLength      float64 // [m]
	SpringMass     float64 // [kg]
	NaturalLength  float64 // [m]
	Rate           float64 // [1] relative
	InitialTension float64 // [N]
	Support        float64 // [m]
	Gravity        float64 // [m/s2]
	Scale          float64 // [1] of the distance
	Offset         float64 // [m] of the distance
	Zero           float64 // [N] of the force
	Span           float64 // [1] relative, of the force
	Delay          float64 // [s] of either sensor
	Temperature    float64 // [K]
}

package virtual_test

import (
	"fmt"

	"joulewell/daq/virtual"
)

// A virtual device is played piece by piece; a rig of the same configuration tells
// what was true.
func Example() {
	bench := virtual.Default()
	device, err := virtual.New(bench)
	if err != nil {
		fmt.Println(err)
		return
	}
	for range 3 {
		chunk, _, _ := device.Next()
		fmt.Printf("%q\n", chunk)
	}
	rig, err := virtual.NewRig(bench)
	if err != nil {
		fmt.Println(err)
		return
	}
	s := rig.At(1_300_000_000) // 0.3 s after the release
	fmt.Printf("height %.2f m, %.2f J, lost %.1f mJ\n", s.Height, s.Mechanical(), s.Lost.Sum()*1e3)
	// Output:
	// "\n"
	// "#virtual bench Tamar, brass bob on spring S-4: simulated readings\n"
	// "#fields seq,t_us,echo_us,load_counts,air_centi_C*05\n"
	// height 0.63 m, 2.11 J, lost 2.1 mJ
}

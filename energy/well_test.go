package energy

import "testing"

func TestWellReachesFromTheFloorToTheUnstretchedSpring(t *testing.T) {
	a := example()
	m, err := NewModel(a, 0)
	if err != nil {
		t.Fatal(err)
	}
	heights, potential := m.Well(50)
	near(t, "lowest height", heights[0], 0, 1e-15)
	near(t, "greatest height", heights[49], 1.2-0.06-0.15, 1e-12)
	for i := range heights {
		near(t, "potential", potential[i], m.Potential(heights[i]), 1e-15)
	}
}

//go:build !race

package drift

const raced = false

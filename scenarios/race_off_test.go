//go:build !race

package scenarios_test

const raceEnabled = false

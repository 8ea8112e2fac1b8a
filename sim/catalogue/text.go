package catalogue

import (
	"math"
	"strconv"
	"strings"
	"time"

	"holdbench/plant"
)

// hasArm is what an arm needs.
func hasArm(r *plant.Rig) bool { return r.Load.ArmMM > 0 }

// asSeconds sets the number as a duration in s.
func asSeconds(_ *plant.Rig, number float64) string { return duration(number) }

// asCount sets the number as a whole one.
func asCount(_ *plant.Rig, number float64) string {
	return strconv.Itoa(int(max(-mostCount, min(mostCount, math.Round(number)))))
}

// mostCount is more than anything that is counted, and still a whole number.
const mostCount = 1e9

// timesOf sets the number times a value of the rig.
func timesOf(value func(*plant.Rig) float64) func(*plant.Rig, float64) string {
	return func(r *plant.Rig, number float64) string { return fourDigits(number * value(r)) }
}

// timesPeriod sets the number times a duration of the rig.
func timesPeriod(value func(*plant.Rig) time.Duration) func(*plant.Rig, float64) string {
	return func(r *plant.Rig, number float64) string { return duration(number * value(r).Seconds()) }
}

// onTopOf sets the number on top of a value of the rig.
func onTopOf(value func(*plant.Rig) float64) func(*plant.Rig, float64) string {
	return func(r *plant.Rig, number float64) string { return fourDigits(value(r) + number) }
}

// longest is more s than any time may be, and still a duration.
const longest = 2e9

// duration writes a time in s to the microsecond.
func duration(seconds float64) string {
	seconds = max(-longest, min(longest, seconds))
	d := time.Duration(math.Round(seconds*1e6)) * time.Microsecond
	return strings.ReplaceAll(d.String(), "µ", "u")
}

func loadTorque(r *plant.Rig) float64 { return plant.Derive(r).LoadTorqueNM }

func hasPartner(r *plant.Rig) bool { return r.Partner.InertiaKGM2 > 0 }

// Words for flags of the rig and of the link.
const (
	yes = "true"
	no  = "false"
)

package showcmd

import (
	"reflect"
	"testing"

	"github.com/stretchr/testify/assert"

	"holdbench/plant"
)

// No figure that follows from a rig is left out of the table.
func TestDerivedIsComplete(t *testing.T) {
	var d plant.Derived
	v := reflect.ValueOf(&d).Elem()
	shown := func(i int) bool { return v.Type().Field(i).IsExported() } // what is not is no figure
	for i := range v.NumField() {
		if shown(i) {
			v.Field(i).SetFloat(float64(i + 1))
		}
	}
	seen := map[float64]bool{}
	for _, f := range derivedFigures() {
		seen[f.value(&d)] = true
		assert.NotEmpty(t, f.formula, f.name)
		assert.NotEmpty(t, f.meaning, f.name)
	}
	for i := range v.NumField() {
		assert.True(t, seen[float64(i+1)] || !shown(i), v.Type().Field(i).Name)
	}
}

// The page of a rig has the figures of a second brake and of a support only if it has them.
func TestDerivedOfOptionalParts(t *testing.T) {
	names := func(d plant.Derived) (list []string) {
		for _, f := range figuresOf(&d) {
			list = append(list, f.name)
		}
		return list
	}
	without := names(plant.Derived{StopStiffness: 1})
	assert.NotContains(t, without, "capacity of brake 2")
	assert.NotContains(t, without, "stiffness of the support")
	assert.Contains(t, without, "stiffness of a stop")
	with := names(plant.Derived{Brake2CapacityNM: 1, Brake2Stiffness: 1, SupportStiffness: 1})
	assert.Subset(t, with, []string{"capacity of brake 2", "stiffness of brake 2", "stiffness of the support"})
}

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

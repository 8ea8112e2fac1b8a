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
	for i := range v.NumField() {
		v.Field(i).SetFloat(float64(i + 1))
	}
	seen := map[float64]bool{}
	for _, f := range derivedFigures() {
		seen[f.value(&d)] = true
		assert.NotEmpty(t, f.formula, f.name)
		assert.NotEmpty(t, f.meaning, f.name)
	}
	for i := range v.NumField() {
		assert.True(t, seen[float64(i+1)], v.Type().Field(i).Name)
	}
}

// Package fieldbus lets a controller on a fieldbus take part in a run in real time: the signals as bits
// and registers that both sides read and write whenever they like. It has no bus and no clock of its
// own; both are handed in.
package fieldbus

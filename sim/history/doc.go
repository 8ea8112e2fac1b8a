// Package history keeps a run with checkpoints, so that any of its moments can be viewed and
// branches can start from it.
package history

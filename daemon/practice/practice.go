// Package practice is a desk to practise on: a simulated mixing desk with
// sixteen players on its stage, a hand on its faders and a script for both. A script
// may also name a smaller hall or a larger one.
//
// It stands in for the real thing in the demo, in tests and in documents. It
// answers asks on a real socket in a dialect of its own, and it also plays a
// service as a plain sequence of packets with their times, for tests that need
// ninety minutes in a second. The same script and seed always give the same bytes.
//
// The sums it makes are the ones a desk makes in sound: levels add as powers,
// groups squeeze, faders and DCAs add up in decibels. It knows nothing of what
// anybody might say about them. Each script is labelled with that by hand.
package practice

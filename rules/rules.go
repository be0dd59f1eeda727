// Package rules judges a service: it asks every rule what it holds to be so,
// decides what is worth a word and whether now is the time for it, and gives all
// that is said as entries, numbered and timed, in one order.
//
// What the desk is and what would be is package desk; what a finding is called in
// some language is package words. Here is arithmetic only. Time arrives inside each
// reading and press, entries leave through Judge.Take, and nothing opens, logs,
// sleeps or starts a goroutine. The same readings and presses therefore always
// give the same entries, which is what lets a captured service be judged again a
// week later, and lets it serve as a test.
package rules

// Package paper answers: what does a page look like that is to be printed, or kept?
//
// In: what a package below has worked out. Out: HTML that needs nothing besides itself: no
// script, no network, no file beside it; white on every screen, set for A4 and Letter. It
// computes nothing but expanded uncertainties, shares and ages, and puts into sentences what
// a ledger says in lines.
package paper

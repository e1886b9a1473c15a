// Package report answers: how does a person, or a script, read what a run showed?
//
// In: an [analysis.Run]. Out: tables in plain text ([Text]), every value with its expanded
// uncertainty at coverage factor 2, or a JSON object ([JSON]) whose keys name their units
// and leave out what is not known. It computes nothing but those expanded uncertainties.
package report

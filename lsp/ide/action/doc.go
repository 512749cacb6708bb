// Package action changes a text for somebody who asks: fixes of findings, acceptances, bands, units in another
// measure, a thing made into a part and a part put in place. What can go wrong is tried before it is offered.
package action

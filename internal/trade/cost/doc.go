// Package cost does the sums of money of a garage: what an order has cost when it is in the bin, how an amount is shared, how long something
// can go back, what a donor car costs and brings, and what a car has swallowed.
//
// Money is a whole number of minor units with its currency; nothing here is a floating point number. Rates are millionths, rates of
// exchange thousandths of a millionth. What has to be rounded is rounded once, to the nearest minor unit, halves away from zero.
// An amount that is shared is shared by largest remainder, so that the shares add up to it.
//
// Landed cost: total = goods + shipping + duty·(goods + shipping) + VAT·(goods + shipping + duty) + handling; what is more than the goods
// is shared over the lines by value or weight. Donor: basis of a part = its estimated value × cost / sum of all that can be
// realised.
//
// Source: computed. Returns: Directives (EU) 2019/771 and 2011/83/EU, from memory.
//
// Range: amounts up to 1,000,000,000,000 minor units, rates up to 1000 %.
//
// Out of scope: the law of import, tax and consumers of any country, which decides over all of it; price lists; wear and tear; and the
// owner's hours, which are shown but never counted as money.
package cost

// From what a form lacks to the field of the record that would supply it.
#pragma once

#include "site/point_form.hpp"

namespace bln::rules {

class Context;
class Verdicts;

/// Tells @p out which field a note of a form waits for. Notes about contradictions and references
/// that lead nowhere are findings of their own rules and count as not checked only.
void tell_gap(const Context& context, const FormNote& note, Verdicts& out);

}  // namespace bln::rules

/** The words of the board; the keys and texts are those of `boottop.job.nexts`. */

type Words = { [key: string]: string };

export const STEP_TEXT: Words = {
  haul_out: "Haul out",
  wash: "Pressure wash",
  move_stands: "The yard moves the stands",
  strip: "Strip the old antifouling",
  abrade: "Abrade",
  mask: "Mask",
  wipe: "Dust off and wipe",
  coat: "Roll the coat",
  finish: "Finish the coat",
  sand: "Let it cure, then sand it",
  activate: "Sand to bare copper",
  launch: "Launch",
  done: "Afloat",
};

export const BECAUSE_TEXT: Words = {
  past_tacky: "the last coat was past tacky by touch: it must cure and be sanded",
  overcoat_missed: "the time for the next coat has passed: the last must cure and be sanded",
  rained_on: "rain fell on the last coat before it was rain-safe: it must cure, and its spots be sanded",
  spots_with_it: "the spots that rain left on the last coat are sanded out with it",
  next_product: "the last coat of this product is let cure and sanded before the next product",
  wiped_too_long: "it was wiped too long ago",
};

export const WHY_TEXT: Words = {
  not_tacky: "the coat under it is not tacky yet by the clock",
  wet_by_touch: "the coat under it was wet by touch; touch it again",
  one_day: "the coats would not all fit into this day",
  closes_before: "the weather opens only after the last moment for this coat",
  no_wipe: "if wiped now, the coats could not all follow in time",
  laminate_dry: "the laminate is still to dry",
  stands: "the film does not bear a stand yet",
  too_soft_to_sand: "the film is too soft to sand",
  too_early_bare: "bare copper would wait too long for the launch",
  not_cured: "the film is not cured for the water yet",
  not_all_coated: "other zones are not ready for the water",
  planned_later: "the plan has it later",
};

export const COUNTDOWN_TEXT: Words = {
  overcoat_from: "next coat from",
  overcoat_until: "next coat until",
  rain_safe: "rain-safe at",
  stands_from: "stands may move from",
  activate_from: "bare copper not before",
  launch_from: "launch not before",
};

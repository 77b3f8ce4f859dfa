//! Photos: first the picture, the words later.

use client_core::record::body::{Body, Kind};
use client_core::record::id::ApplianceId;
use maud::{Markup, html};

use crate::bits;
use crate::see::See;
use crate::tap::{Deed, Name, Place, Tap};

/// What a photo shows.
pub const SUBJECTS: [&str; 6] = ["plate", "part", "meter dial", "printout", "unit", "hazard"];

/// The page.
pub fn page(see: &See<'_>, place: &Place, unit: ApplianceId) -> Markup {
    let Some(own) = see.unit(unit) else { return bits::page(see, place, &html! {}) };
    let inside = html! {
        (bits::unit_head(&see.unit_no(unit), &html! { span class="t3 b" { (see.t("Photo")) } }))
        div class="pad stack grow" {
            (bits::notice(see))
            p { (see.t("Photo first, words later. It stays on this phone and travels when there is time.")) }
            div class="keys k2" {
                @for subject in SUBJECTS {
                    label class="key" {
                        span { (bits::capital(see.t(subject))) }
                        input class="vh" type="file" accept="image/*" capture="environment" data-photo=(subject);
                    }
                }
            }
            div class="shots" {
                @for entry in own.sheet.iter().flat_map(|sheet| sheet.read.counted(Kind::Photo)) {
                    @if let Body::Photo(photo) = &entry.body {
                        @let hash = crate::app::photo_name(&photo.hash);
                        @let small = photo.small.as_ref().map_or_else(|| hash.clone(), |small| crate::app::photo_name(small));
                        @let alt = see.f("photo of {}", &[see.t(&photo.subject)]);
                        @let large = see.state.chosen.get(crate::app::LARGE).is_some_and(|chosen| *chosen == hash);
                        figure class=[large.then_some("wide")] {
                            @if large { img data-blob=(hash) data-instead=(small) alt=(alt); }
                            @else {
                                button type="button" class="shot" data-tap=(Tap::from(Deed::Large { unit, photo: Name(hash.clone()) })) {
                                    img data-blob=(small) alt=(alt);
                                    span class="vh" { (see.t("larger")) }
                                }
                            }
                            figcaption class="t1" {
                                (see.t(&photo.subject)) ", " (see.who(entry.person())) " " (entry.stamp.at().clock())
                            }
                        }
                    }
                }
            }
        }
        (bits::foot(&html! { div class="keys k2" { (bits::back(see)) (bits::gas_smell(see)) } }))
    };
    bits::page(see, place, &inside)
}

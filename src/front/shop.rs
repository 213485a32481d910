//! A shop: its limits, its title block, its operations, and what it opens with them.

use super::{Error, WheelOrder};
use crate::dossier::Dossier;
use crate::json::Problems;
use crate::rules::ShopRules;
#[cfg(feature = "pdf")]
use crate::sheet::template::{PLAIN, Template as TitleBlock};
#[cfg(feature = "pdf")]
use crate::shop::inspection::USUAL_SAMPLE;
#[cfg(feature = "pdf")]
use crate::shop::traveller::Template as TravellerTemplate;
#[cfg(feature = "pdf")]
use crate::wheel::Job;
#[cfg(feature = "pdf")]
use std::borrow::Cow;

/// What every order is held against and printed with.
///
/// ```
/// use wheeldraft::Shop;
///
/// let shop = Shop::built_in()?;
/// let order = shop.open(wheeldraft::demo_order())?;
/// println!("{}: {} findings", order.name(), order.findings().len());
/// # Ok::<(), wheeldraft::Error>(())
/// ```
#[derive(Debug, Clone)]
pub struct Shop {
    pub(crate) rules: ShopRules,
    #[cfg(feature = "pdf")]
    pub(crate) title_block: TitleBlock,
    #[cfg(feature = "pdf")]
    pub(crate) traveller: TravellerTemplate,
    #[cfg(feature = "pdf")]
    pub(crate) altered_by: String,
    #[cfg(feature = "pdf")]
    pub(crate) groove_sample: u32,
}

impl Shop {
    /// The limits, the title block and the operations that ship with the program.
    ///
    /// # Errors
    /// Never in a program whose tests have passed: they read the embedded files.
    pub fn built_in() -> Result<Shop, Error> {
        Ok(Shop {
            rules: ShopRules::built_in(),
            #[cfg(feature = "pdf")]
            title_block: TitleBlock::plain()?,
            #[cfg(feature = "pdf")]
            traveller: TravellerTemplate::built_in()?,
            #[cfg(feature = "pdf")]
            altered_by: String::new(),
            #[cfg(feature = "pdf")]
            groove_sample: USUAL_SAMPLE,
        })
    }

    /// The same with limits of its own: the text of a `shop-rules.json`. What it leaves out stays as built in.
    ///
    /// # Errors
    /// Every problem of the file at once, each with its place.
    ///
    /// ```
    /// use wheeldraft::Shop;
    ///
    /// let shop = Shop::built_in()?.with_rules(r#"{"format": 1, "name": "ours", "limits": {}}"#)?;
    /// assert!(shop.with_rules("{").is_err());
    /// # Ok::<(), wheeldraft::Error>(())
    /// ```
    pub fn with_rules(self, text: &str) -> Result<Shop, Problems> {
        let mut shop = self;
        shop.rules = ShopRules::read(text)?;
        Ok(shop)
    }

    /// Reads, resolves, works out and checks an order file.
    ///
    /// # Errors
    /// Every problem of the file at once, each with its place.
    ///
    /// ```
    /// use wheeldraft::{Error, Shop};
    ///
    /// let shop = Shop::built_in()?;
    /// let Err(Error::Order(problems)) = shop.open(br#"{"order": {"number": "7"}}"#) else { unreachable!() };
    /// assert!(problems.iter().any(|p| p.problem.message.contains("has no `wheel`")));
    /// # Ok::<(), Error>(())
    /// ```
    pub fn open(&self, bytes: &[u8]) -> Result<WheelOrder<'_>, Error> {
        let dossier = Dossier::of(self.rules.open(bytes)?, &self.rules)?;
        Ok(WheelOrder {
            #[cfg(feature = "pdf")]
            shop: self,
            dossier,
        })
    }
}

#[cfg(feature = "pdf")]
impl Shop {
    /// The same with a title block of its own: the text of its file, and that of the logo it names.
    ///
    /// # Errors
    /// Every problem of the file at once, each with its place.
    ///
    /// ```
    /// use wheeldraft::Shop;
    ///
    /// assert!(Shop::built_in()?.with_title_block("{}", None).is_err());
    /// # Ok::<(), wheeldraft::Error>(())
    /// ```
    pub fn with_title_block(self, text: &str, logo: Option<&str>) -> Result<Shop, Problems> {
        Ok(Shop { title_block: TitleBlock::parse(text, logo)?, ..self })
    }

    /// The same with operations of its own: the text of a `traveller.json`.
    ///
    /// # Errors
    /// Every problem of the file at once, each with its place.
    ///
    /// ```
    /// use wheeldraft::Shop;
    ///
    /// let problems = Shop::built_in()?.with_operations(r#"{"format": 1, "operations": []}"#).unwrap_err();
    /// assert!(problems.to_string().contains("stands here 0 times"));
    /// # Ok::<(), wheeldraft::Error>(())
    /// ```
    pub fn with_operations(self, text: &str) -> Result<Shop, Problems> {
        Ok(Shop { traveller: TravellerTemplate::read(text)?, ..self })
    }

    /// The title block of an order: the built-in one it names, else the shop's; the example gives way to that of a shop.
    #[cfg(feature = "pdf")]
    pub(crate) fn title_block_of(&self, job: &Job) -> Cow<'_, TitleBlock> {
        let named = job.sheets.title_block.as_deref().filter(|name| *name != "example" || self.title_block.text == PLAIN);
        let built_in = named.and_then(TitleBlock::built_in).and_then(Result::ok);
        built_in.map_or(Cow::Borrowed(&self.title_block), Cow::Owned)
    }

    /// The same with the name of who alters the wheels, for their labels.
    ///
    /// ```
    /// let shop = wheeldraft::Shop::built_in()?.altered_by("Tern & Anvil Wheel Works");
    /// assert_eq!(shop.open(wheeldraft::demo_order())?.labels().count(), 4);
    /// # Ok::<(), wheeldraft::Error>(())
    /// ```
    pub fn altered_by(self, name: &str) -> Shop {
        Shop { altered_by: name.to_owned(), ..self }
    }

    /// The same with so many grooves of each set on the inspection sheet, at least 1.
    ///
    /// ```
    /// let shop = wheeldraft::Shop::built_in()?.groove_sample(3);
    /// assert!(shop.open(wheeldraft::demo_order())?.inspection_sheet().count() > 0);
    /// # Ok::<(), wheeldraft::Error>(())
    /// ```
    pub fn groove_sample(self, grooves: u32) -> Shop {
        Shop { groove_sample: grooves.max(1), ..self }
    }
}

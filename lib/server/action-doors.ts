import type { Door } from './rights'

/**
 * Who may call what a form sends: every server action of the app by its file and name. The walk through all of them
 * (e2e/doors.spec.ts) asks the built app for each with every role, and fails on one that stands in no row here, or that lets in somebody else.
 */
export const ACTION_DOORS: Record<string, Record<string, Door>> = {
  'app/account/actions.ts': {
    beginFactorAction: 'by password',
    confirmFactorAction: 'by password',
    endFactorAction: 'by password',
    endOwnSessionAction: 'by password',
    mailAction: 'by password',
    noPinAction: 'by password',
    passwordAction: 'by password',
    pinAction: 'by password',
  },
  'app/artdesk/actions.ts': {
    clearAction: 'artwork.clear',
    keepFilmsAction: 'artwork.change',
    keepOriginalAction: 'artwork.change',
    keepVersionAction: 'artwork.change',
    usualFilmsAction: 'artwork.change',
  },
  'app/artdesk/inks/actions.ts': {
    keepInkAction: 'artwork.change',
    retireInkAction: 'artwork.change',
  },
  'app/artdesk/sheets/actions.ts': {
    laySheetsAction: 'artwork.see',
  },
  'app/counter/customers/import/actions.ts': {
    lookAtCustomersAction: 'orders.change',
    takeCustomersAction: 'orders.change',
  },
  'app/counter/actions.ts': {
    editCustomerAction: 'orders.change',
    editOrderAction: 'orders.change',
    handOverAction: 'orders.change',
    makeOfferAction: 'orders.change',
    newCustomerAction: 'orders.change',
    newOrderAction: 'orders.change',
    paymentAction: 'orders.change',
    repeatAction: 'orders.change',
    renewOfferAction: 'orders.change',
    sendOfferAction: 'orders.change',
    takeBackAction: 'orders.change',
    withdrawAction: 'orders.change',
  },
  'app/counter/invoices/actions.ts': {
    creditAction: 'orders.change',
    invoiceAction: 'orders.change',
  },
  'app/floor/actions.ts': {
    firstPieceAction: 'shop.change',
    planAnew: 'floor.plan',
  },
  'app/floor/board/actions.ts': {
    takeAction: 'floor.plan',
    tryAction: 'floor.plan',
    undoAction: 'floor.plan',
  },
  'app/floor/learned/actions.ts': {
    dropPaceAction: 'rates.change',
    takePaceAction: 'rates.change',
    takeSpoilageAction: 'rates.change',
  },
  'app/offer/[token]/actions.ts': {
    agreeAction: 'everybody',
    askAction: 'everybody',
    declineAction: 'everybody',
  },
  'app/office/actions.ts': {
    changeRatesAction: 'rates.change',
    closeMonthAction: 'books.close',
    orderCostAction: 'books.close',
    previewPricesAction: 'rates.change',
    reopenMonthAction: 'books.close',
    valuationAction: 'rates.change',
  },
  'app/office/backups/actions.ts': {
    backUpAction: 'shop.change',
    backupPlanAction: 'shop.change',
    checkBackupAction: 'shop.change',
  },
  'app/office/invoicing/actions.ts': {
    invoicingAction: 'shop.change',
    orderNumberAction: 'shop.change',
  },
  'app/office/journal/actions.ts': {
    chartAction: 'rates.change',
  },
  'app/office/people/actions.ts': {
    closureAction: 'people.change',
    hireAction: 'people.change',
    memberAction: 'people.change',
    reopenAction: 'people.change',
    stationAction: 'rates.change',
  },
  'app/office/printers/actions.ts': {
    retirePriceListAction: 'rates.change',
    savePriceListAction: 'rates.change',
  },
  'app/office/recipes/actions.ts': {
    newRecipeAction: 'rates.change',
    saveRecipeAction: 'rates.change',
  },
  'app/office/programs/actions.ts': {
    endKeyAction: 'shop.change',
    makeKeyAction: 'shop.change',
  },
  'app/office/shop/actions.ts': {
    changeShopAction: 'shop.change',
    dropMailServerAction: 'shop.change',
    mailServerAction: 'shop.change',
    testMailAction: 'shop.change',
  },
  'app/office/sign-ins/actions.ts': {
    activeAction: 'people.change',
    endSessionAction: 'people.change',
    endTabletAction: 'people.change',
    inviteAction: 'people.change',
    jobAction: 'people.change',
    mailAddressAction: 'people.change',
    resetAction: 'people.change',
    shareAction: 'people.change',
  },
  'app/parts/_show/actions.ts': {
    tryForm: 'everybody',
  },
  'app/sign-in/actions.ts': {
    askResetAction: 'everybody',
    newPasswordAction: 'everybody',
    signIn: 'everybody',
    signInToDemo: 'everybody',
    signInWithCode: 'everybody',
    signInWithPin: 'everybody',
    signOut: 'everybody',
  },
  'app/stockroom/actions.ts': {
    changeItemAction: 'stock.buy',
    countAction: 'stock.move',
    endPurchaseAction: 'stock.buy',
    extendLotAction: 'stock.move',
    moveAction: 'stock.move',
    newItemAction: 'stock.buy',
    newStyleAction: 'stock.buy',
    receiveAction: 'stock.move',
    receivePurchaseAction: 'stock.move',
    sentPurchaseAction: 'stock.buy',
    supplierAction: 'stock.buy',
    takeBackAction: 'stock.move',
    writePurchaseAction: 'stock.buy',
  },
  'app/stockroom/blanks/import/actions.ts': {
    lookAtBlanksAction: 'stock.buy',
    takeBlanksAction: 'stock.buy',
  },
  'app/stockroom/counts/actions.ts': {
    approveCountAction: 'stock.buy',
    countLineAction: 'stock.move',
    dropCountAction: 'stock.buy',
    startCountAction: 'stock.move',
  },
  'app/stockroom/screens/actions.ts': {
    burnByHandAction: 'stock.move',
    dropScreensAction: 'stock.move',
    frameGoneAction: 'stock.move',
    keepScreensAction: 'stock.move',
    moveFrameAction: 'stock.move',
    numberFramesAction: 'stock.move',
    reclaimFrameAction: 'stock.move',
  },
  'app/welcome/actions.ts': {
    openDemo: 'everybody',
    openOwnShop: 'everybody',
    setUpShop: 'everybody',
  },
}
